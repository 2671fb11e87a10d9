"""The exchange itself: each side gets what it lacks, in small pieces that stay once they are kept.

Cut off at any moment it leaves both sides with part of what was new; done again it goes on. Twice
is once: an entry is the same under its id everywhere, a photo under its hash.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from wetend.errors import BadInput, Refused
from wetend.progress import Progress
from wetend.records.checksums import Tally
from wetend.records.exchange.keys import Difference, Keyed, Span, difference
from wetend.records.exchange.sides import AT_ONCE, DepotSide, SetName, Side
from wetend.records.rows import checksum_of
from wetend.records.store import DEMO
from wetend.units.message import Message


@dataclass
class Exchanged:
    """What an exchange brought."""

    received: int = 0
    """Entries that were new here."""
    sent: int = 0
    """Entries that were new there."""
    photos_received: int = 0
    photos_sent: int = 0
    not_to_be_had: list[str] = field(default_factory=list)
    """Ids and hashes that one side lists, but gives damaged or not at all."""
    differing: list[str] = field(default_factory=list)
    """Ids under which each side keeps another sound entry; both stay as they are."""

    @property
    def whole(self) -> bool:
        """Whether both sides now hold the same."""
        return not (self.not_to_be_had or self.differing)


@dataclass(frozen=True)
class _Asked:
    """One set of a side, as :func:`difference` asks it."""

    side: Side
    name: SetName

    def tallies(self, spans: Sequence[Span]) -> list[Tally]:
        return self.side.tallies(self.name, spans)

    def listed(self, span: Span) -> list[Keyed]:
        return self.side.listed(self.name, span)


def exchange(here: DepotSide, there: Side, progress: Progress | None = None) -> Exchanged:
    """Give each of two depots what it lacks of the other.

    Photos go first, so that no entry ever speaks of one that is still to come.

    Args:
        here: the depot at hand.
        there: the other.
        progress: told how many pieces of how many are done.

    Raises:
        Refused: one holds invented data and the other does not.
        StorageFailed: a disk, a server or the network failed; what went over until then stays.
    """
    if (here.purpose == DEMO) != (there.purpose == DEMO):
        raise Refused(
            Message("One of the two is a demo depot of invented data; nothing was exchanged.")
        )
    photos = difference(here.table("photos"), _Asked(there, "photos"))
    _leave_out(photos, here.replaced() | there.replaced())
    entries = difference(here.table("entries"), _Asked(there, "entries"))
    found = Exchanged()
    count = _Counter(progress, photos, entries)
    _photos(photos.lacking_here, there, here, found, count, to_here=True)
    _photos(photos.lacking_there, here, there, found, count, to_here=False)
    _entries(entries.lacking_here, there, here, found, count, to_here=True)
    _entries(entries.lacking_there, here, there, found, count, to_here=False)
    _mend(entries.differing, here, there, found)
    return found


def _leave_out(photos: Difference, replaced: Collection[str]) -> None:
    """A photo whose location was removed is not brought back from where it is not yet."""
    for lacking in (photos.lacking_here, photos.lacking_there):
        lacking[:] = [(sha, mark) for sha, mark in lacking if sha not in replaced]


class _Counter:
    def __init__(self, progress: Progress | None, *found: Difference) -> None:
        self._progress, self._done = progress, 0
        self._all = sum(len(d.lacking_here) + len(d.lacking_there) for d in found)

    def more(self, done: int) -> None:
        self._done += done
        if self._progress is not None:
            self._progress(self._done, self._all)


def _photos(
    lacking: Sequence[Keyed], giver: Side, taker: Side, found: Exchanged, count: _Counter, *,
    to_here: bool,
) -> None:  # fmt: skip
    for sha, _ in lacking:
        data = giver.photo(sha)
        try:
            if data is None:
                raise BadInput(Message("This photo is damaged or gone."))
            taker.keep_photo(data)
        except BadInput:
            found.not_to_be_had.append(sha)
        else:
            found.photos_received += to_here
            found.photos_sent += not to_here
        count.more(1)


def _batches(lacking: Sequence[Keyed]) -> Iterator[Sequence[Keyed]]:
    return (lacking[at : at + AT_ONCE] for at in range(0, len(lacking), AT_ONCE))


def _entries(
    lacking: Sequence[Keyed], giver: Side, taker: Side, found: Exchanged, count: _Counter, *,
    to_here: bool,
) -> None:  # fmt: skip
    for batch in _batches(lacking):
        asked = dict(batch)
        given = giver.entries([key for key, _ in batch])
        sound = [e for e in given if asked.get(e.id) == checksum_of(e)]
        new, refused = taker.keep(sound)
        found.received += new if to_here else 0
        found.sent += 0 if to_here else new
        found.differing += refused
        found.not_to_be_had += sorted(asked.keys() - {entry.id for entry in sound})
        count.more(len(batch))


def _mend(ids: Sequence[str], here: DepotSide, there: Side, found: Exchanged) -> None:
    """What both list with another checksum: where one side's is damaged, the other's mends it."""
    for each in ids:
        mine, theirs = here.entries([each]), there.entries([each])
        if mine and theirs:
            found.differing.append(each)
        elif theirs:
            found.received += here.keep(theirs)[0]
        elif mine:
            found.sent += there.keep(mine)[0]
        else:
            found.not_to_be_had.append(each)
