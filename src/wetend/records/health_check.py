"""Checks a depot for damage: file, entries, photos and permissions."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from wetend.pump.readings import Photo
from wetend.records.checksums import Tally
from wetend.records.damage import Damaged
from wetend.records.engine import DepotDamaged, named, plainly
from wetend.records.entries import Entry, said_by
from wetend.records.integrity import State, index_of, log_of, logs_put_aside, look, put_aside
from wetend.records.rows import checksum_of
from wetend.records.store import Depot
from wetend.units.message import Message

_OTHERS = stat.S_IRWXG | stat.S_IRWXO


@dataclass(frozen=True)
class HealthReport:
    """What was found in a depot."""

    depot: str
    entries: int
    """Entries that read as they were written."""
    file: State
    """What SQLite's own checks say; sound with PostgreSQL, which checks its files itself."""
    damaged: tuple[Damaged, ...]
    """Entries that do not read as written, or of which only the name is left."""
    missing: int | None
    """Entries counted that are neither sound nor damaged; ``None`` where the count is damaged."""
    should_be: int | None
    """Entries by the depot's own count; ``None`` where that is damaged."""
    counted: bool
    """Whether the depot's own count of its entries could be read and holds."""
    unread: int
    """Entries of a later version; nothing is wrong with them."""
    photos: int
    damaged_photos: tuple[str, ...]
    missing_photos: tuple[str, ...]
    """Hashes of photos that entries speak of and that are not there."""
    damaged_logs: tuple[str, ...]
    """Logs that were damaged at a stop, kept aside."""
    open_to_others: tuple[str, ...]
    """Files and folders that other users of this machine may read."""
    remarks: tuple[str, ...] = ()
    """What was met when it was opened and is over; nothing is wrong with it."""

    @property
    def sound(self) -> bool:
        """Whether nothing is lost, damaged or open to others."""
        return self.whole and not self.open_to_others

    @property
    def whole(self) -> bool:
        """Whether nothing is lost or damaged."""
        return self.file is State.SOUND and self.counted and not (
            self.damaged or self.missing or self.damaged_photos or self.missing_photos
            or self.damaged_logs
        )  # fmt: skip


@dataclass
class _Read:
    """Entries read through."""

    made: Tally = field(default_factory=Tally)
    unread: int = 0
    photos: set[str] = field(default_factory=set)
    """Hashes of photos that they speak of."""
    replaced: set[str] = field(default_factory=set)
    """Hashes of those whose location was removed: another file is kept in their place."""

    def take(self, entries: Iterable[Entry]) -> None:
        """Count entries in."""
        for entry in entries:
            self.made = self.made.with_more([checksum_of(entry)])
            noun = said_by(entry)
            self.unread += noun is None
            if isinstance(noun, Photo):
                self.photos.add(noun.sha256)
                self.replaced.add(noun.in_place_of)


def examine(depot: Depot) -> HealthReport:
    """Look a depot through, in full.

    Raises:
        StorageFailed: the disk or the server failed.
    """
    found = _looked_through(depot)
    there, spoilt = _photos(depot)
    read = found.read
    return HealthReport(
        depot=named(depot.url), entries=read.made.count, file=found.state, damaged=depot.damaged,
        missing=found.missing, should_be=found.should_be, counted=found.counted,
        unread=read.unread, photos=len(there), damaged_photos=tuple(spoilt),
        missing_photos=tuple(sorted(read.photos - read.replaced - there - set(spoilt))),
        damaged_logs=tuple(map(str, logs_put_aside(depot.file))) if depot.file else (),
        open_to_others=tuple(map(str, open_to_others(depot))), remarks=depot.remarks,
    )  # fmt: skip


def look_through(depot: Depot) -> None:
    """Look at a depot's file and every entry, so that its notices name what is damaged.

    Raises:
        StorageFailed: the disk or the server failed.
    """
    _looked_through(depot)


@dataclass(frozen=True)
class _Looked:
    """What file and entries have come to."""

    state: State
    read: _Read
    should_be: int | None
    missing: int | None
    counted: bool


def _looked_through(depot: Depot) -> _Looked:
    state, read = file_state(depot), _Read()
    with depot.snapshot() as now:
        tally = now.tally
        read.take(now.entries)
    lost = lost_of(depot, tally, read.made)
    missing = None if lost is None else max(lost - len(depot.damaged), 0)
    depot.missing = missing or 0
    agree = tally == read.made or bool(lost)
    return _Looked(
        state, read, should_be=None if lost is None else read.made.count + lost, missing=missing,
        counted=lost is not None and lost >= 0 and agree,
    )  # fmt: skip


def lost_of(depot: Depot, known: Tally | None, made: Tally) -> int | None:
    """How many entries there are too few, damaged ones among them; ``None`` where not known."""
    if depot.rescued:
        return depot.rescued.missing
    return None if known is None else known.count - made.count


def file_state(depot: Depot) -> State:
    """SQLite's own checks, in full; from then on the depot is read around what they find."""
    if depot.rescued is not None:
        return State.SOUND if depot.read_only and depot.rescued.whole else State.BROKEN
    if depot.file is None:
        return State.SOUND
    try:
        with plainly(depot.url):
            state = look(depot._engine, depot.file, whole=True)
        if state is State.BROKEN:
            raise DepotDamaged(Message("The record {url} is damaged.", url=named(depot.url)))
    except DepotDamaged as why:
        depot.read_around(why)
        return State.BROKEN
    return state


def _photos(depot: Depot) -> tuple[set[str], list[str]]:
    """Hashes of sound photos, and of damaged ones."""
    there, spoilt = set(), []
    for sha in depot.photos.hashes():
        if depot.photos.holds(sha):
            there.add(sha)
        else:
            spoilt.append(sha)
    return there, spoilt


def open_to_others(depot: Depot) -> Iterator[Path]:
    """What of a depot other users of this machine may read or write."""
    if os.name == "nt":
        return
    shelf = depot.photos.folder
    photos = [shelf, *sorted(shelf.rglob("*"))] if shelf else []
    for path in (*(_files(depot.file) if depot.file else ()), *photos):
        if path.exists() and path.stat().st_mode & _OTHERS:
            yield path


def _files(file: Path) -> Iterator[Path]:
    yield from (file, log_of(file), index_of(file), file.with_suffix(".key"))
    yield from put_aside(file)
