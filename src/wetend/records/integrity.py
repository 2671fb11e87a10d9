"""What SQLite's own checks say of a file, and damage to its log that SQLite passes over."""

from __future__ import annotations

import re
import sqlite3
import time
from collections.abc import Sequence
from contextlib import closing, suppress
from enum import Enum
from pathlib import Path

from sqlalchemy import Engine

from wetend.errors import StorageFailed
from wetend.records.carving import Pages
from wetend.records.files import write_atomic
from wetend.records.write_ahead import Log, committed_by, read_log

_SMALL = 16_000_000
"""Bytes up to which a file is checked in full at each opening: a fifth of a second at most."""
_MOST = 50
_INDEX_START = 96
"""Bytes of a log's index that say how far the log goes."""
_OF_INDEXES = re.compile(
    r"(row \d+ (missing from index|values differ from index)|wrong # of entries in index"
    r"|non-unique entry in index|NULL value in entries\.)"
)
_LOG_ASIDE = ".damaged-log-"
SEEN = ".seen"
"""Ends the name of a damaged log that was dealt with."""


class State(Enum):
    """What a file's trees have come to."""

    SOUND = "sound"
    INDEXES = "indexes"
    """Its entries are all in their place, but indexes don't lead to all of them."""
    BROKEN = "broken"


def look(engine: Engine, path: Path, *, whole: bool = False) -> State:
    """Check an SQLite file: in full where it is small or that is asked, else its structure.

    Raises:
        SQLAlchemyError: it can't even be checked.
    """
    check = "integrity_check" if whole or path.stat().st_size <= _SMALL else "quick_check"
    with engine.connect() as connection:
        return _state(connection.exec_driver_sql(f"PRAGMA {check}({_MOST})").scalars().all())


def look_at_copy(path: Path) -> State:
    """Check, in memory, a file that SQLite can't open where it is.

    Raises:
        OSError: the file can't be read.
    """
    pages = Pages(path)
    try:
        image = bytearray(b"".join(page for _, page in pages.all()))
    finally:
        pages.close()
    image[18:20] = b"\x01\x01"  # a copy has no log beside it
    with closing(sqlite3.connect(":memory:")) as connection:
        try:
            connection.deserialize(bytes(image))
            return _state([row[0] for row in connection.execute("PRAGMA integrity_check")])
        except (sqlite3.Error, OverflowError):
            return State.BROKEN


def _state(found: Sequence[str]) -> State:
    if list(found) == ["ok"]:
        return State.SOUND
    return State.INDEXES if all(map(_OF_INDEXES.match, found)) else State.BROKEN


def log_of(path: Path) -> Path:
    """Where SQLite keeps a file's log."""
    return path.with_name(f"{path.name}-wal")


def index_of(path: Path) -> Path:
    """Where SQLite keeps the index of a file's log."""
    return path.with_name(f"{path.name}-shm")


def put_damaged_log_aside(path: Path) -> bool:
    """Copy a log that is damaged, before SQLite reads it up to the damage and forgets the rest.

    A log that another process is writing may look torn for a moment; it is looked at twice. One
    that ends with a write cut off half-way, never confirmed to anybody, is not damaged.

    Returns:
        Whether it ends so.
    """
    log, before = log_of(path), b""
    for pause in (0.05, 0.0):
        try:
            data = log.read_bytes()
        except OSError:
            return False
        found = read_log(data)
        if not found.damaged:
            return False
        if _all_confirmed_is_there(path, found):
            if data == before:
                return True
        elif pause == 0.0:
            _keep_log(path, data)
        before = data
        time.sleep(pause)
    return False


def _all_confirmed_is_there(path: Path, log: Log) -> bool:
    """Whether a log's frames that fit are all that its index says were committed.

    Both outlive the process that wrote them; an index from before the machine was started may be
    older than the log, and is not asked.
    """
    started = time.time() - time.monotonic()
    try:
        if log_of(path).stat().st_mtime <= started:
            return False
        with index_of(path).open("rb") as file:
            committed = committed_by(file.read(_INDEX_START), log)
    except OSError:
        return False
    return committed is not None and committed <= log.fit


def _keep_log(path: Path, data: bytes) -> None:
    aside = path.with_name(f"{path.name}{_LOG_ASIDE}{data[16:24].hex()}")  # one for each log
    if not aside.exists():
        with suppress(StorageFailed):  # a full or read-only disk: what can be read is still shown
            write_atomic(aside, data)


def put_aside(path: Path) -> list[Path]:
    """What was kept of damage to a file: logs, and copies from before it was mended."""
    start = f"{path.name}.damaged-"
    try:
        return sorted(p for p in path.parent.iterdir() if p.name.startswith(start))
    except OSError:
        return []


def logs_put_aside(path: Path) -> list[Path]:
    """Damaged logs copied and not yet dealt with."""
    found = (p for p in put_aside(path) if p.name.startswith(f"{path.name}{_LOG_ASIDE}"))
    return [p for p in found if p.suffix != SEEN]
