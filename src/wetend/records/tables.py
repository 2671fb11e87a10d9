"""The database tables of entries and depot settings; SQLite and PostgreSQL."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import Column, DateTime, Dialect, Index, MetaData, String, Table, Text
from sqlalchemy.types import TypeDecorator

HEAD = "0003"
"""The migration this version of the program works with."""


class UtcDateTime(TypeDecorator[datetime]):
    """A time with zone UTC; SQLite, which keeps no zone, is given it back on reading."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(
        self,
        value: datetime | None,
        dialect: Dialect,  # noqa: ARG002
    ) -> datetime | None:
        """In UTC on the way in."""
        return value.astimezone(UTC) if value is not None else None

    def process_result_value(
        self,
        value: datetime | None,
        dialect: Dialect,  # noqa: ARG002
    ) -> datetime | None:
        """In UTC on the way out."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


def _id() -> String:
    """An id's column, ordered byte by byte whatever language the database sorts in."""
    return String(32).with_variant(String(32, collation="C"), "postgresql")


metadata = MetaData()

entries = Table(
    "entries",
    metadata,
    Column("id", _id(), primary_key=True),
    Column("kind", String(40), nullable=False),
    Column("pump", String(63), nullable=False),
    Column("visit", _id(), nullable=True),
    Column("at", UtcDateTime(), nullable=False),
    Column("who", String(200), nullable=False),
    Column("place", String(200), nullable=False),
    Column("device", String(200), nullable=False),
    Column("version", String(200), nullable=False),
    Column("corrects", _id(), nullable=True),
    Column("payload", Text(), nullable=False),
    Column("checksum", String(32), nullable=False, server_default="none"),
    Index("entries_by_pump", "pump", "id"),
    Index("entries_by_visit", "visit", "id"),
    Index("entries_by_kind", "kind", "id"),
)

acts = Table(
    "acts",
    metadata,
    Column("id", String(80), primary_key=True),
    Column("first", _id(), nullable=False),
    Column("at", UtcDateTime(), nullable=False),
)
"""Forms already kept, each with the first entry it made: sent again it saves nothing more."""

about = Table(
    "about",
    metadata,
    Column("name", String(40), primary_key=True),
    Column("value", Text(), nullable=False),
    Column("checksum", String(32), nullable=False),
)
"""What is known of the depot itself: its tally of entries, what it is for, what signs its forms."""
