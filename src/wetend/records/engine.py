"""Reach the database: where it is, how it is opened, and what its failures mean in plain words."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, SQLAlchemyError

from wetend.errors import BadInput, StorageFailed
from wetend.records.files import path_given

_BUSY_SECONDS = 20
_PLAIN = {
    "readonly": "may not be written: the file or its folder is read-only",
    "full": "can't grow: the disk is full",
    "locked": "is kept busy by another program; try again in a moment",
    "not a database": "is not a record of this program",
    "malformed": "is damaged; restore the last backup",
    "unable to open": "can't be opened: look at the folder's name and permissions",
    "disk i/o error": "can't be read or written: the disk reports an error",
}


def locate(where: str | Path) -> URL:
    """The database a path or a ``sqlite:///`` or ``postgresql://`` URL names.

    Raises:
        BadInput: it names none.
    """
    text = str(where).strip()
    scheme, split, rest = text.partition("://")
    if not split or (scheme == "sqlite" and rest.startswith("/")):
        path = rest[1:] if split else text
        if path != ":memory:":
            return URL.create("sqlite", database=str(path_given(path)))
    elif scheme in ("postgresql", "postgres", "postgresql+psycopg"):
        try:
            return make_url(f"postgresql+psycopg://{rest}")
        except (ArgumentError, ValueError) as error:
            raise BadInput(
                "The record's URL can't be read; write postgresql://user@host/name."
            ) from error
    raise BadInput("The record is kept in an SQLite file or a PostgreSQL database; name one.")


def reach(url: URL) -> Engine:
    """An engine whose commits are on disk when they return.

    Raises:
        StorageFailed: the folder can't be made, or the PostgreSQL driver is not installed.
    """
    try:
        if url.get_backend_name() == "sqlite":
            Path(url.database or "").parent.mkdir(parents=True, exist_ok=True)
            engine = create_engine(url, connect_args={"timeout": _BUSY_SECONDS})
            event.listen(engine, "connect", _ready_sqlite)
            event.listen(engine, "begin", _begin_sqlite)
            return engine
        engine = create_engine(url, pool_pre_ping=True)
    except OSError as error:
        raise StorageFailed(f"The record's folder can't be made: {error.strerror}.") from error
    except (ModuleNotFoundError, NoSuchModuleError) as error:
        raise StorageFailed(
            "PostgreSQL needs its driver; install it with: pip install 'wetend[postgresql]'."
        ) from error
    event.listen(engine, "connect", _ready_postgresql)
    return engine


def _ready_sqlite(connection: sqlite3.Connection, _record: Any) -> None:
    """Write-ahead log, full synchronising, foreign keys; transactions begun by us alone."""
    connection.isolation_level = None
    tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}
    if not tables or "alembic_version" in tables:  # else another program's, and left as it is
        _use_write_ahead_log(connection)
    connection.execute("PRAGMA synchronous=FULL")
    connection.execute("PRAGMA fullfsync=ON")
    connection.execute("PRAGMA foreign_keys=ON")


def _use_write_ahead_log(connection: sqlite3.Connection) -> None:
    """Switch to the log; SQLite does not wait for its lock here, so we do."""
    give_up = time.monotonic() + _BUSY_SECONDS
    while connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
        try:
            connection.execute("PRAGMA journal_mode=WAL")
            return
        except sqlite3.OperationalError as error:
            if "locked" not in str(error) or time.monotonic() > give_up:
                raise
            time.sleep(0.01)


def _begin_sqlite(connection: Connection) -> None:
    """A writer takes its turn at once, so that two never stand in each other's way."""
    writes = connection.get_execution_options().get("writes")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _ready_postgresql(connection: Any, _record: Any) -> None:
    """Commits wait for the disk, times come in UTC, text goes in UTF-8."""
    connection.execute("SET synchronous_commit = on")
    connection.execute("SET timezone = 'UTC'")
    connection.execute("SET client_encoding = 'UTF8'")
    connection.commit()


@contextmanager
def plainly(url: URL) -> Iterator[None]:
    """Turn the database's failures into one sentence that names the record, never its password.

    Raises:
        StorageFailed: the database failed inside the ``with``.
    """
    try:
        yield
    except (SQLAlchemyError, sqlite3.Error) as error:
        raise StorageFailed(_sentence(url, error)) from error


def _sentence(url: URL, error: Exception) -> str:
    cause = error.orig if isinstance(error, DBAPIError) else error
    said = str(cause).lower()
    if url.get_backend_name() == "sqlite":
        meaning = next((plain for sign, plain in _PLAIN.items() if sign in said), None)
        return f"The record {url.database} {meaning or 'failed: ' + said.splitlines()[0]}."
    named = url.set(password=None).render_as_string()
    reason = said.strip().splitlines()[0] if said.strip() else type(cause).__name__
    return f"The PostgreSQL record {named} can't be used: {reason}."
