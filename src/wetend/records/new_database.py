"""Creates an SQLite database that takes its name only once complete."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from sqlalchemy import URL, Engine

from wetend.errors import StorageFailed
from wetend.records.engine import locate, named, plainly, sqlite
from wetend.records.files import OWNER_FILE
from wetend.records.integrity import index_of, log_of
from wetend.records.temporary_files import begin_file, sweep
from wetend.units.message import Message


@contextmanager
def under_way(folder: Path) -> Iterator[Path]:
    """A new file for a database, gone when left unless it was given another name.

    What a killed one left in the folder is cleared away first.

    Raises:
        OSError: it can't be made.
    """
    sweep(folder)
    part, handle = begin_file(folder, OWNER_FILE)
    try:
        yield part
    finally:
        os.close(handle)
        for left in (part, log_of(part), index_of(part)):
            left.unlink(missing_ok=True)


@contextmanager
def filling(part: Path, meant: URL) -> Iterator[Engine]:
    """An engine on a file under way; failures are said of the file that is ``meant``.

    Raises:
        StorageFailed: the disk failed.
    """
    engine = sqlite(locate(part))
    try:
        with plainly(meant):
            yield engine
    finally:
        engine.dispose()


def finish(part: Path, meant: URL) -> None:
    """Have all of a file under way in the file itself, on disk.

    SQLite says nothing where it can't do so as it closes the file, and leaves the rest in the log.

    Raises:
        StorageFailed: the disk failed.
        OSError: it can't be brought to disk.
    """
    with plainly(meant), closing(sqlite3.connect(part)) as connection:
        left = connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
    if left[0] or (log_of(part).exists() and log_of(part).stat().st_size):
        raise StorageFailed(Message("{meant} can't be written in full.", meant=named(meant)))
    with part.open("rb") as written:
        os.fsync(written.fileno())
