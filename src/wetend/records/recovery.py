"""Recovers what is readable in a damaged SQLite depot into a copy."""

from __future__ import annotations

import re
import secrets
import sqlite3
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, Engine, create_engine, event, insert
from sqlalchemy.pool import QueuePool

from wetend.records import settings
from wetend.records.carving import Pages, Value, named_in_indexes, rows_by_shape, rows_in
from wetend.records.checksums import Tally, checksum
from wetend.records.damage import Damaged
from wetend.records.engine import lenient_text
from wetend.records.entries import PAYLOADS
from wetend.records.rows import NAMES, entries_of, row_of
from wetend.records.schema import migrate
from wetend.records.tables import acts
from wetend.records.tables import entries as table
from wetend.units.message import Message

_WIDTH = len(NAMES) + 1
_SHORT_TEXT = re.compile(r".{1,80}")
_HEX = re.compile(r"[0-9a-f]{32}")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2} [0-9:.]{8,15}")
_AT_ONCE = 500
Row = Sequence[Value]


@dataclass(frozen=True)
class Rescued:
    """What an SQLite depot's pages hold."""

    rows: tuple[Row, ...]
    """Sound entries' rows, in the order of their ids."""
    damaged: tuple[Damaged, ...]
    """Entries that do not read as written, or that only an index speaks of."""
    missing: int | None
    """How many entries the tally counts beyond the sound ones; ``None`` where it can't be read."""
    about: dict[str, str]
    acts: tuple[Row, ...]
    ours: bool = True
    """Whether the file says that it was made by this program."""
    unreadable: int = 0
    """Pages the disk could not read."""

    @property
    def whole(self) -> bool:
        """Whether every entry ever kept is there."""
        return self.missing == 0


def rescue(path: Path) -> Rescued:
    """Read an SQLite depot page by page, its log as well.

    Raises:
        OSError: the file can't be read at all.
    """
    pages = Pages(path)
    try:
        found = list(rows_in(pages))
        indexed = named_in_indexes(pages, tuple(PAYLOADS))
        sound, damaged = _sorted_out(found)
        known = _about(found)
        tally = Tally.read(known.get(settings.TALLY))
        made = _tally_of(sound)
        if tally != made:
            sound |= _sorted_out(rows_by_shape(pages))[0]
            made = _tally_of(sound)
    finally:
        pages.close()
    if tally == made:
        lost: dict[str, Damaged] = {}
    else:
        lost = {d.id: d for d in (*indexed.values(), *damaged) if d.id not in sound}
    return Rescued(
        rows=tuple(sound[i] for i in sorted(sound)),
        damaged=tuple(lost[i] for i in sorted(lost)),
        missing=None if tally is None else max(tally.count - made.count, int(tally != made)),
        about=known, acts=tuple(row for row in found if _is_act(row)),
        ours=any(row[:2] == ["table", "alembic_version"] for row in found),
        unreadable=pages.unreadable,
    )  # fmt: skip


def _tally_of(sound: dict[str, Row]) -> Tally:
    return Tally().with_more(str(row[-1]) for row in sound.values())


def _sorted_out(found: Iterable[Row]) -> tuple[dict[str, Row], list[Damaged]]:
    """Sound rows by id, and the damaged; an earlier schema's rows are given their checksums."""
    given = list(found)
    rows = [row for row in given if len(row) == _WIDTH]
    if not rows:
        rows = [_summed(row) for row in given if len(row) == _WIDTH - 1 and _is_id(row[0])]
    read, damaged = entries_of(rows)
    ids = {entry.id for entry in read}
    often = {made for made, times in Counter(row[0] for row in rows).items() if times > 1}
    sound = (row for row in rows if row[0] in ids and (row[0] not in often or _sound(row)))
    return {str(row[0]): row for row in sound}, damaged


def _summed(row: Row) -> Row:
    try:
        return [*row, checksum([None if v is None else str(v) for v in row])]
    except UnicodeEncodeError:
        return [*row, ""]


def _sound(row: Row) -> bool:
    """Two rows of one id may be there, the one damaged."""
    return bool(entries_of([row])[0])


def _about(found: Iterable[Row]) -> dict[str, str]:
    known: dict[str, str] = {}
    for row in found:
        match row:
            case [str() as name, str() as value, str() as mark] if _HEX.fullmatch(mark):
                try:
                    if mark == checksum([name, value]):
                        known[name] = max(known.get(name, ""), value, key=_count)
                except UnicodeEncodeError:
                    continue
    return known


def _count(value: str) -> int:
    """Of two tallies that of more entries is the later one."""
    tally = Tally.read(value)
    return tally.count if tally else len(value)


def _is_id(value: Value) -> bool:
    return isinstance(value, str) and bool(_HEX.fullmatch(value))


def _is_act(row: Row) -> bool:
    match row:
        case [str() as act, str() as first, str() as at]:
            return bool(
                _SHORT_TEXT.fullmatch(act) and _HEX.fullmatch(first) and _MOMENT.fullmatch(at)
            )
    return False


def fill(engine: Engine, rescued: Rescued) -> None:
    """Put what was rescued into a new, empty database."""
    migrate(engine)
    with engine.begin() as connection:
        for start in range(0, len(rescued.rows), _AT_ONCE):
            sound, _ = entries_of(rescued.rows[start : start + _AT_ONCE])
            connection.execute(insert(table), [row_of(entry) for entry in sound])
        for name in (settings.PURPOSE, settings.SECRET):
            if name in rescued.about:
                settings.put(connection, name, rescued.about[name])
        made = Tally().with_more(str(row[-1]) for row in rescued.rows)
        settings.put(connection, settings.TALLY, str(made))
        raw = connection.connection.driver_connection
        assert isinstance(raw, sqlite3.Connection)
        raw.executemany(
            Message("INSERT OR IGNORE INTO {name} VALUES (?, ?, ?)", name=acts.name), rescued.acts
        )


def in_memory(rescued: Rescued) -> Engine:
    """A database in memory of what was rescued, for as long as the engine lives."""
    name = f"file:wetend-{secrets.token_hex(8)}?mode=memory&cache=shared"

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(name, uri=True, check_same_thread=False)

    engine = create_engine(URL.create("sqlite"), creator=connect, poolclass=QueuePool)
    event.listen(engine, "connect", lenient_text)
    keeper = connect()
    event.listen(engine, "engine_disposed", lambda _engine: keeper.close())
    fill(engine, rescued)
    return engine
