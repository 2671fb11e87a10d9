"""Queries on the table of entries, the same for SQLite and PostgreSQL."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from sqlalchemy import (
    Column,
    ColumnElement,
    CompoundSelect,
    Connection,
    Insert,
    Select,
    and_,
    func,
    or_,
    select,
    union_all,
)

from wetend.lazy_import import postgresql, sqlite_dialect
from wetend.records.rows import columns
from wetend.records.tables import acts
from wetend.records.tables import entries as table

_NAMED = re.compile(r"[a-z0-9-]{1,64}")


def any_of(column: Column[Any], wanted: Sequence[str]) -> ColumnElement[bool]:
    """Rows with one of these ids, slugs or kinds; text that can be none of them finds nothing."""
    return column.in_([name for name in wanted if _NAMED.fullmatch(name)])


def every(dialect: str) -> Select[Any]:
    """All entries in the order of their ids."""
    return select(*columns(dialect)).order_by(table.c.id)


def latest(kinds: Sequence[str]) -> CompoundSelect[Any]:
    """The latest id of each of some kinds."""
    last: Select[Any] = select(func.max(table.c.id))
    return union_all(*(last.where(any_of(table.c.kind, (k,))) for k in kinds))


def state(kinds: Sequence[str]) -> Select[int, Any]:
    """How many entries of some kinds there are, and the latest id."""
    count = select(func.count(), func.max(table.c.id)).select_from(table)
    return count.where(any_of(table.c.kind, kinds))


def wanted(
    dialect: str,
    *,
    pump: str | None = None,
    visit: str | None = None,
    kinds: Sequence[str] | None = None,
) -> Select[Any]:
    """Entries in the order of their ids, all or those of a pump, a visit, some kinds."""
    query = every(dialect)
    if pump is not None:
        query = query.where(any_of(table.c.pump, (pump,)))
    if visit is not None:
        query = query.where(any_of(table.c.visit, (visit,)))
    if kinds is not None:
        query = query.where(any_of(table.c.kind, kinds))
    return query


def of_visit(dialect: str, visit: str) -> Select[Any]:
    """A visit's entries and those of its pump that belong to no visit."""
    own = any_of(table.c.visit, (visit,))
    its_pump = table.c.pump.in_(select(table.c.pump).where(own))
    return every(dialect).where(or_(own, and_(table.c.visit.is_(None), its_pump)))


def saved_by_form(dialect: str, act: str) -> Select[Any]:
    """What a form has kept so far."""
    made = select(acts.c.first).where(acts.c.id.like(f"{act}.%"))
    return every(dialect).where(table.c.id.in_(made))


def adding(connection: Connection) -> Insert:
    """Both databases know how to leave a row alone that is there already."""
    kind = postgresql if connection.dialect.name == "postgresql" else sqlite_dialect
    once: Insert = kind.insert(table).on_conflict_do_nothing(index_elements=[table.c.id])
    return once
