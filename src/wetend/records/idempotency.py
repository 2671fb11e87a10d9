"""Idempotency: remembers forms already saved, so that a second submission changes nothing."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection, select

from wetend.lazy_import import postgresql, sqlite_dialect
from wetend.records.tables import acts

_REMEMBERED = timedelta(days=60)
"""How long a form that was kept is remembered; its token lives for hours."""


def note(connection: Connection, name: str, first: str) -> bool:
    """Note that something is done, with the first entry it makes; whether it was not before."""
    kind = postgresql if connection.dialect.name == "postgresql" else sqlite_dialect
    row = {"id": name[:80], "first": first, "at": datetime.now(UTC)}
    adding = kind.insert(acts).values(row).on_conflict_do_nothing(index_elements=[acts.c.id])
    return connection.execute(adding.returning(acts.c.id)).scalar() is not None


def first_of(connection: Connection, act: str, first: str) -> str | None:
    """Note that a form is being kept; the first entry it made, where it was kept before."""
    if note(connection, act, first):
        old = datetime.now(UTC) - _REMEMBERED
        connection.execute(acts.delete().where(acts.c.at < old))
        return None
    return str(connection.execute(select(acts.c.first).where(acts.c.id == act)).scalar_one())


def noted(connection: Connection, start: str) -> list[str]:
    """What was noted as done under names that begin so, without that beginning."""
    found = connection.scalars(select(acts.c.id).where(acts.c.id.like(f"{start}%")))
    return [str(name).removeprefix(start) for name in found]
