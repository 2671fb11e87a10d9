"""Converts database rows to entries; those that fail their checksum are separated."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import ColumnElement, Text, type_coerce

from wetend.records.checksums import checksum, moment_text
from wetend.records.damage import Damaged
from wetend.records.entries import Entry
from wetend.records.tables import entries as table

NAMES = tuple(column.name for column in table.columns if column.name != "checksum")
"""What is kept of an entry, in the order of a row; a row's last column is its checksum."""
AT = NAMES.index("at")
_MANY = TypeAdapter(list[Entry])


def columns(dialect: str) -> tuple[ColumnElement[Any], ...]:
    """What to select. SQLite's times come as its text: a spoilt one must not stop the others."""
    if dialect != "sqlite":
        return tuple(table.columns)
    return tuple(type_coerce(c, Text) if c.name == "at" else c for c in table.columns)


def checksum_of(entry: Entry) -> str:
    """The checksum an entry is kept with."""
    return checksum([
        entry.id, entry.kind, entry.pump, entry.visit, moment_text(entry.at), entry.who,
        entry.place, entry.device, entry.version, entry.corrects, entry.payload,
    ])  # fmt: skip


def row_of(entry: Entry) -> dict[str, Any]:
    """The row an entry is kept as."""
    return {**entry.model_dump(), "checksum": checksum_of(entry)}


def entries_of(rows: Sequence[Sequence[Any]]) -> tuple[list[Entry], list[Damaged]]:
    """The sound entries among rows, in their order, and those that are damaged."""
    found = [_fields(row) for row in rows]
    damaged = [Damaged.of_row(r) for r, f in zip(rows, found, strict=True) if f is None]
    given = [fields for fields in found if fields is not None]
    try:
        return _MANY.validate_python(given), damaged  # quicker than one by one
    except ValidationError:
        pass
    sound = []
    for fields in given:
        try:
            sound.append(Entry.model_validate(fields))
        except ValidationError:
            damaged.append(Damaged.of_row(list(fields.values())))
    return sound, damaged


def _fields(row: Sequence[Any]) -> dict[str, Any] | None:
    """A row's fields where its checksum holds."""
    fields = dict(zip(NAMES, row, strict=False))
    at = row[AT]
    try:
        if isinstance(at, datetime):
            fields["at"] = moment_text(at)
        if checksum(list(fields.values())) != row[-1]:
            return None
        fields["at"] = datetime.fromisoformat(fields["at"]).replace(tzinfo=UTC)
    except (TypeError, ValueError):
        return None
    return fields
