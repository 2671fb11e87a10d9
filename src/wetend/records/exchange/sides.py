"""The two sides of an exchange: what each can be asked for and given."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal, Protocol

from sqlalchemy import func, select

from wetend.errors import BadInput, NotFound, StorageFailed
from wetend.keeping import MB, Keep
from wetend.pump.readings import Photo
from wetend.records.checksums import Tally, checksum
from wetend.records.engine import plainly
from wetend.records.entries import Entry, said_by
from wetend.records.exchange.keys import Keyed, KeyTable, Span
from wetend.records.ids import seen
from wetend.records.store import Depot
from wetend.records.tables import entries
from wetend.units.message import Message

SetName = Literal["entries", "photos"]
SETS: tuple[SetName, ...] = ("entries", "photos")
AT_ONCE = 200
"""Most entries carried at once."""
_MARK = re.compile(r"[0-9a-f]{32}")
_TABLES = Keep[KeyTable](
    Message("keys of depots for an exchange"), most=64 * MB, newest=True,
    weigh=lambda _, table: table.bytes,
)  # fmt: skip


class Side(Protocol):
    """A depot to exchange with, on this machine or over a network."""

    @property
    def purpose(self) -> str:
        """What it is for; invented data and a real record never mix."""
        ...

    def tallies(self, name: SetName, spans: Sequence[Span]) -> list[Tally]:
        """Count and mixed checksums of spans of its entries or photos."""
        ...

    def listed(self, name: SetName, span: Span) -> list[Keyed]:
        """First keys of a span."""
        ...

    def replaced(self) -> frozenset[str]:
        """Photos that another was put in place of, such as one without its location."""
        ...

    def entries(self, ids: Sequence[str]) -> list[Entry]:
        """Some entries, in the order of their ids; those damaged there are left out."""
        ...

    def keep(self, entries: Sequence[Entry]) -> tuple[int, tuple[str, ...]]:
        """Keep entries; how many were new, and ids of those refused."""
        ...

    def photo(self, sha: str) -> bytes | None:
        """A photo's bytes; ``None`` where it is not there or damaged."""
        ...

    def keep_photo(self, data: bytes) -> None:
        """Keep a photo."""
        ...


class DepotSide:
    """A depot that this program has open."""

    def __init__(self, depot: Depot) -> None:
        """Stand for a depot; whoever opened it closes it."""
        self.depot = depot

    @property
    def purpose(self) -> str:
        """What it is for."""
        return self.depot.purpose

    def tallies(self, name: SetName, spans: Sequence[Span]) -> list[Tally]:
        """Count and mixed checksums of spans of its entries or photos."""
        return self.table(name).tallies(spans)

    def listed(self, name: SetName, span: Span) -> list[Keyed]:
        """First keys of a span."""
        return self.table(name).listed(span)

    def table(self, name: SetName) -> KeyTable:
        """Its keys as they stand; read anew only when something was added."""
        where = str(self.depot.url)
        if name == "entries":
            return _TABLES.get((where, name, self._state()), self._entry_keys, owner=where)
        kept = tuple(self.depot.photos.hashes())
        return _TABLES.get(
            (where, name, kept), lambda: KeyTable((sha, sha[:32]) for sha in kept), owner=where
        )

    def _state(self) -> tuple[int, str]:
        query = select(func.count(), func.max(entries.c.id)).select_from(entries)
        with plainly(self.depot.url), self.depot.connected() as connection:
            count, latest = connection.execute(query).one()
        return int(count), str(latest or "")

    def _entry_keys(self) -> KeyTable:
        query = select(entries.c.id, entries.c.checksum).order_by(entries.c.id)
        with plainly(self.depot.url), self.depot.connected() as connection:
            rows = connection.execute(query, execution_options={"yield_per": 5000})
            return KeyTable((str(made), _mark(str(kept))) for made, kept in rows if _is_id(made))

    def replaced(self) -> frozenset[str]:
        """Photos that another was put in place of, such as one without its location."""
        said = (said_by(entry) for entry in self.depot.entries(kinds=("photo",)))
        return frozenset(p.in_place_of for p in said if isinstance(p, Photo)) - {""}

    def entries(self, ids: Sequence[str]) -> list[Entry]:
        """Some entries, in the order of their ids; damaged ones are left out."""
        return self.depot.some(ids)

    def keep(self, entries: Sequence[Entry]) -> tuple[int, tuple[str, ...]]:
        """Keep entries; how many were new, and ids of those refused: another is kept under it.

        Raises:
            StorageFailed: the disk or the server failed; nothing of these was saved.
        """
        ordered = sorted(entries, key=lambda entry: entry.id)
        try:
            new, mended = self.depot.merge_and_mend(ordered)
        except BadInput:
            return self._one_by_one(ordered)
        if ordered:
            seen(ordered[-1].id)
        return new + mended, ()

    def _one_by_one(self, ordered: Sequence[Entry]) -> tuple[int, tuple[str, ...]]:
        new, refused = 0, []
        for entry in ordered:
            try:
                new += sum(self.depot.merge_and_mend([entry]))
            except BadInput:
                refused.append(entry.id)
            else:
                seen(entry.id)
        return new, tuple(refused)

    def photo(self, sha: str) -> bytes | None:
        """A photo's bytes; ``None`` where it is not there or damaged."""
        try:
            return self.depot.photos.get(sha)[0]
        except (NotFound, StorageFailed):
            return None

    def keep_photo(self, data: bytes) -> None:
        """Keep a photo.

        Raises:
            BadInput: it is no whole picture.
            StorageFailed: the disk failed, or no folder for photos is set.
        """
        self.depot.photos.put(data)


def _is_id(made: object) -> bool:
    return isinstance(made, str) and bool(_MARK.fullmatch(made))


def _mark(kept: str) -> str:
    """A checksum as kept; another in the place of one that is none."""
    return kept if _MARK.fullmatch(kept) else checksum([kept])
