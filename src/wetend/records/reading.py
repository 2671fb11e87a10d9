"""Read entries back in the order they were made; damaged ones are left out and noted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any

from sqlalchemy import URL, Engine, Select, func, select, union_all

from wetend.errors import NotFound, StorageFailed
from wetend.records import acts, queries
from wetend.records.damage import Damaged, DamageLog
from wetend.records.engine import plainly
from wetend.records.entries import Entry
from wetend.records.ids import seen
from wetend.records.rows import entries_of
from wetend.records.tables import entries as table

_AT_ONCE = 500


class Reader:
    """Reads a record's entries. Safe to share between threads and processes."""

    def __init__(self, url: URL, engine: Engine) -> None:
        self.url = url
        self._engine = engine
        self._dialect = engine.dialect.name
        self._damage = DamageLog()

    @property
    def damaged(self) -> tuple[Damaged, ...]:
        """The damaged entries met so far, which are left out of all that is read."""
        return self._damage.all()

    def entry(self, entry_id: str) -> Entry:
        """One entry.

        Raises:
            NotFound: there is none with this id.
            StorageFailed: it is damaged.
        """
        query = queries.every(self._dialect).where(queries.any_of(table.c.id, (entry_id,)))
        found = list(self._read(query))
        if found:
            return found[0]
        if any(each.id == entry_id for each in self.damaged):
            raise StorageFailed(f"Entry {entry_id} is damaged; restore the last backup.")
        raise NotFound("There is no such entry in this record.")

    def entries(
        self,
        *,
        pump: str | None = None,
        visit: str | None = None,
        kinds: Sequence[str] | None = None,
    ) -> list[Entry]:
        """Entries in the order of their ids, all or those of a pump, a visit, some kinds."""
        return list(self._read(queries.wanted(self._dialect, pump=pump, visit=visit, kinds=kinds)))

    def each_entry(self) -> Iterator[Entry]:
        """All entries as they stand now, one after another: a long record needs little memory."""
        return self._read(queries.every(self._dialect), at_once=_AT_ONCE)

    def by_pump(self, *, kinds: Sequence[str]) -> Iterator[tuple[str, list[Entry]]]:
        """Entries of some kinds, pump by pump by key: a long record needs little memory."""
        query = queries.wanted(self._dialect, kinds=kinds).order_by(None)
        query = query.order_by(table.c.pump, table.c.id)
        for key, own in groupby(self._read(query, at_once=_AT_ONCE), key=lambda e: e.pump):
            yield key, list(own)

    def since(self, entry_id: str, *, kinds: Sequence[str]) -> list[Entry]:
        """Entries of some kinds with later ids than this."""
        query = queries.wanted(self._dialect, kinds=kinds)
        return list(self._read(query.where(table.c.id > entry_id)))

    def latest(self, *, kinds: Sequence[str]) -> str:
        """The latest id among entries of some kinds; blank where there are none. Quick."""
        each = [
            select(func.max(table.c.id)).where(queries.any_of(table.c.kind, (k,))) for k in kinds
        ]
        with plainly(self.url), self._engine.connect() as connection:
            return max(str(found or "") for found in connection.scalars(union_all(*each)))

    def state(self, *, kinds: Sequence[str]) -> tuple[int, str]:
        """How many entries of some kinds there are and the latest id: alike if none was added."""
        own = queries.any_of(table.c.kind, kinds)
        query = select(func.count(), func.max(table.c.id)).where(own)
        with plainly(self.url), self._engine.connect() as connection:
            count, latest = connection.execute(query).one()
        return int(count), str(latest or "")

    def noted(self, start: str) -> list[str]:
        """What was noted as done under names that begin so, without that beginning."""
        with plainly(self.url), self._engine.connect() as connection:
            return acts.noted(connection, start)

    def kept_under(self, act: str) -> list[Entry]:
        """What a form has kept so far, in the order of the entries' ids."""
        return list(self._read(queries.kept_under(self._dialect, act))) if act else []

    def visit_entries(self, visit: str) -> list[Entry]:
        """All that :func:`wetend.records.fold.fold_visit` needs: a visit's entries and its pump's.

        Raises:
            NotFound: there is no such visit, or what it can't be shown without is damaged.
        """
        found = list(self._read(queries.of_visit(self._dialect, visit)))
        kinds = {entry.kind for entry in found}
        for kind, what in (("visit-started", "start"), ("pump-described", "pump's description")):
            if kind not in kinds and any(self._is_part_of(d, kind, visit) for d in self.damaged):
                raise NotFound(
                    f"This visit can't be shown, since its {what} is damaged; restore the last "
                    "backup."
                )
        if not found:
            raise NotFound("There is no such visit in this record.")
        return found

    @staticmethod
    def _is_part_of(damaged: Damaged, kind: str, visit: str) -> bool:
        return damaged.kind == kind and damaged.visit in ("", visit)

    def _read(self, query: Select[Any], *, at_once: int | None = None) -> Iterator[Entry]:
        options = {"yield_per": at_once} if at_once else {}
        with (
            plainly(self.url),
            self._engine.connect() as connection,
            connection.execution_options(**options).execute(query) as rows,
        ):
            for batch in rows.partitions(at_once or _AT_ONCE):
                read, damaged = entries_of(batch)
                self._damage.met(damaged)
                self._damage.sound(entry.id for entry in read)
                if read:
                    seen(max(entry.id for entry in read))
                yield from read
