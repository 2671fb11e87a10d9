"""Migrates a database to this version's schema, one process at a time."""

from __future__ import annotations

import importlib
import re
import threading

from sqlalchemy import Connection, Engine, inspect, text

from wetend.errors import StorageFailed
from wetend.records import settings
from wetend.records.engine import DepotDamaged
from wetend.records.tables import HEAD
from wetend.units.message import Message

_ONE_AT_A_TIME = threading.Lock()
_PG_LOCK = 0x7765_7465_6E64  # any number that all processes agree on


class LaterVersion(StorageFailed):
    """A later version of the program wrote this database."""


def is_new(engine: Engine) -> bool:
    """Whether a database is still without tables."""
    with engine.connect() as connection:
        return not inspect(connection).get_table_names()


def is_head(engine: Engine) -> bool:
    """Whether a database is at the schema this version works with."""
    with engine.connect() as connection:
        return _revision(connection) == HEAD


def migrate(engine: Engine, *, purpose: str = "") -> None:
    """Bring the database to head, creating it where it is new.

    Args:
        engine: where it is.
        purpose: what a new one is for, kept in it.

    Raises:
        LaterVersion: a later version of the program wrote this database.
    """
    if is_head(engine):
        return
    with _ONE_AT_A_TIME, engine.execution_options(writes=True).begin() as connection:
        if connection.dialect.name == "postgresql":
            _holds_any_text(connection)
            connection.execute(text("select pg_advisory_xact_lock(:lock)"), {"lock": _PG_LOCK})
        before = _revision(connection)
        if before != HEAD:
            _has_no_other_use(connection)
            # read in only where something is to be done: most openings find the record at head
            importlib.import_module("wetend.records.migrating").upgrade(connection)
        if before is None and purpose:
            settings.put(connection, settings.PURPOSE, purpose)


def _revision(connection: Connection) -> str | None:
    if not inspect(connection).has_table("alembic_version"):
        return None
    found = connection.execute(text("select version_num from alembic_version")).scalar()
    if found is not None and not re.fullmatch("[0-9]{4}", found):
        raise DepotDamaged(Message("The schema of this record can't be read: it is damaged."))
    if found is not None and found > HEAD:
        raise LaterVersion(
            Message(
                "This record was written by a later version (schema {found}, known here "
                "{head}); update the program to open it.",
                found=found[:20],
                head=HEAD,
            )
        )
    return found


def _holds_any_text(connection: Connection) -> None:
    """Refuse a PostgreSQL database whose encoding can't hold all that people write."""
    encoding = connection.execute(text("show server_encoding")).scalar_one()
    if encoding != "UTF8":
        raise StorageFailed(
            Message(
                "This database keeps text as {encoding}, which can't hold every name; create "
                "one with encoding UTF8.",
                encoding=encoding,
            )
        )


def _has_no_other_use(connection: Connection) -> None:
    """Refuse a database in which another program keeps its tables."""
    tables = inspect(connection).get_table_names()
    if tables and "alembic_version" not in tables:
        raise StorageFailed(
            Message("This database belongs to another program; use one of its own for the record.")
        )
