"""Reads entries in the order they were made; damaged ones are skipped and reported."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import URL, Connection, Engine, Select

from wetend.errors import NotFound, StorageFailed
from wetend.records import idempotency, queries, settings
from wetend.records.checksums import Tally
from wetend.records.damage import Damaged, DamageLog
from wetend.records.engine import DepotDamaged, plainly
from wetend.records.entries import Entry
from wetend.records.ids import seen
from wetend.records.integrity import logs_put_aside
from wetend.records.notices import (
    CUT_OFF_SENTENCE,
    INDEX_SENTENCE,
    LOG_SENTENCE,
    damage_sentence,
    lost_sentence,
    missing_sentence,
)
from wetend.records.opening import Reached, around_damage
from wetend.records.recovery import Rescued
from wetend.records.rows import entries_of
from wetend.records.tables import entries as table
from wetend.units.message import Message

_AT_ONCE = 500


T = TypeVar("T")


@dataclass(frozen=True)
class Snapshot:
    """A record as of one moment, to be read within the ``with`` it was given in."""

    tally: Tally | None
    """How many entries there should be; ``None`` where that is damaged."""
    entries: Iterator[Entry]


class Reader:
    """Reads a record's entries. Safe to share between threads and processes.

    Where an SQLite file is found damaged, what is sound of it is read from a copy in memory.
    """

    def __init__(self, url: URL, reached: Reached) -> None:
        self.url = url
        self._damage = DamageLog()
        self._reached = reached
        self.missing = 0
        """Entries found to be gone without a trace when it was last looked through."""
        self._note(reached)

    @property
    def _engine(self) -> Engine:
        return self._reached.engine

    @property
    def _dialect(self) -> str:
        return self._engine.dialect.name

    @property
    def damaged(self) -> tuple[Damaged, ...]:
        """The damaged entries met so far, which are left out of all that is read."""
        return self._damage.all()

    @property
    def closed_to_writing(self) -> str:
        """Why nothing can be written, as a sentence; blank where it can."""
        return self._reached.closed_to_writing

    @property
    def rescued(self) -> Rescued | None:
        """What was read around damage, where that is read from; else ``None``."""
        return self._reached.rescued

    @property
    def read_only(self) -> bool:
        """Whether the file or its folder may not be written."""
        return self._reached.read_only

    @property
    def file(self) -> Path | None:
        """The SQLite file; ``None`` with PostgreSQL."""
        sqlite = self.url.get_backend_name() == "sqlite"
        return Path(self.url.database or "") if sqlite else None

    @property
    def notices(self) -> tuple[str, ...]:
        """Sentences on what is wrong with this record as far as is known; none where it is well."""
        logs = self._log_damaged and self.file and logs_put_aside(self.file)
        return tuple(filter(None, (
            self.closed_to_writing,
            "" if self._sound_copy else lost_sentence(self.rescued, self.damaged),
            "" if self._reached.indexed else INDEX_SENTENCE,
            damage_sentence(self.damaged),
            missing_sentence(0 if self.rescued else self.missing),
            LOG_SENTENCE if logs else "",
        )))  # fmt: skip

    @property
    def remarks(self) -> tuple[str, ...]:
        """Sentences on what was met when it was opened and is over; nothing is wrong with it."""
        return (CUT_OFF_SENTENCE,) if self._reached.cut_off else ()

    @property
    def _sound_copy(self) -> bool:
        """Whether it is read from a copy only because SQLite can't read it where it is."""
        return self.rescued is not None and self.read_only and self.rescued.whole

    def read_around(self, why: DepotDamaged) -> None:
        """From now on read what is sound of a damaged file from a copy, and write nothing.

        Raises:
            DepotDamaged: ``why`` itself, where that is being done or can't be.
        """
        if self.file is None or self._reached.rescued is not None:
            raise why
        before, after = self._reached.engine, around_damage(self.url, self.file, why)
        self._reached = after
        self._note(after)
        before.dispose()

    def _note(self, reached: Reached) -> None:
        self._log_damaged = bool(self.file and logs_put_aside(self.file))
        if reached.rescued is not None:
            self._damage.met(reached.rescued.damaged)

    def _asked(self, ask: Callable[[], T]) -> T:
        """An answer from the record; asked again where damage is met that can be read around."""
        try:
            return ask()
        except DepotDamaged as why:
            self.read_around(why)
            return ask()

    def entry(self, entry_id: str) -> Entry:
        """One entry.

        Raises:
            NotFound: there is none with this id.
            StorageFailed: it is damaged.
        """
        query = queries.every(self._dialect).where(queries.any_of(table.c.id, (entry_id,)))
        found = self._list(query)
        if found:
            return found[0]
        if any(each.id == entry_id for each in self.damaged):
            raise StorageFailed(
                Message(
                    "Entry {entry_id} is damaged; `wetend doctor` shows what to do.",
                    entry_id=entry_id,
                )
            )
        raise NotFound(Message("There is no such entry in this record."))

    def entries(
        self,
        *,
        pump: str | None = None,
        visit: str | None = None,
        kinds: Sequence[str] | None = None,
    ) -> list[Entry]:
        """Entries in the order of their ids, all or those of a pump, a visit, some kinds."""
        return self._list(queries.wanted(self._dialect, pump=pump, visit=visit, kinds=kinds))

    def some(self, ids: Sequence[str]) -> list[Entry]:
        """Entries by their ids, in the order of these; those not there or damaged are left out."""
        return self._list(queries.every(self._dialect).where(queries.any_of(table.c.id, ids)))

    @contextmanager
    def connected(self) -> Iterator[Connection]:
        """A connection to read through."""
        with self._engine.connect() as connection:
            yield connection

    def each_entry(self) -> Iterator[Entry]:
        """All entries as they stand now, one after another: a long record needs little memory."""
        return self._read(queries.every(self._dialect), at_once=_AT_ONCE)

    @contextmanager
    def snapshot(self) -> Iterator[Snapshot]:
        """The depot's count of its entries, and all of them, as of one moment."""
        options = {} if self.file else {"isolation_level": "REPEATABLE READ"}
        with (
            plainly(self.url),
            self._engine.connect().execution_options(**options) as connection,
            connection.begin(),
        ):
            tally = Tally.read(settings.value_of(connection, settings.TALLY))
            every = queries.every(self._dialect)
            yield Snapshot(tally, self._rows(connection, every, at_once=_AT_ONCE))

    def by_pump(self, *, kinds: Sequence[str]) -> Iterator[tuple[str, list[Entry]]]:
        """Entries of some kinds, pump by pump by key: a long record needs little memory."""
        query = queries.wanted(self._dialect, kinds=kinds).order_by(None)
        query = query.order_by(table.c.pump, table.c.id)
        for key, own in groupby(self._read(query, at_once=_AT_ONCE), key=lambda e: e.pump):
            yield key, list(own)

    def since(self, entry_id: str, *, kinds: Sequence[str]) -> list[Entry]:
        """Entries of some kinds with later ids than this."""
        query = queries.wanted(self._dialect, kinds=kinds)
        return self._list(query.where(table.c.id > entry_id))

    def latest(self, *, kinds: Sequence[str]) -> str:
        """The latest id among entries of some kinds; blank where there are none. Quick."""

        def ask() -> str:
            with plainly(self.url), self._engine.connect() as connection:
                found = connection.scalars(queries.latest(kinds))
                return max(str(made or "") for made in found)

        return self._asked(ask)

    def state(self, *, kinds: Sequence[str]) -> tuple[int, str]:
        """How many entries of some kinds there are and the latest id: alike if none was added."""

        def ask() -> tuple[int, str]:
            with plainly(self.url), self._engine.connect() as connection:
                count, latest = connection.execute(queries.state(kinds)).one()
            return int(count), str(latest or "")

        return self._asked(ask)

    def noted(self, start: str) -> list[str]:
        """What was noted as done under names that begin so, without that beginning."""

        def ask() -> list[str]:
            with plainly(self.url), self._engine.connect() as connection:
                return idempotency.noted(connection, start)

        return self._asked(ask)

    def saved_by_form(self, act: str) -> list[Entry]:
        """What a form has kept so far, in the order of the entries' ids."""
        return self._list(queries.saved_by_form(self._dialect, act)) if act else []

    def visit_entries(self, visit: str) -> list[Entry]:
        """All that :func:`wetend.records.fold.fold_visit` needs: a visit's entries and its pump's.

        Raises:
            NotFound: there is no such visit, or what it can't be shown without is damaged.
        """
        found = self._list(queries.of_visit(self._dialect, visit))
        kinds = {entry.kind for entry in found}
        for kind, what in (
            ("visit-started", "start"),
            ("pump-described", Message("pump's description")),
        ):
            if kind not in kinds and any(self._is_part_of(d, kind, visit) for d in self.damaged):
                raise NotFound(
                    Message(
                        "This visit can't be shown, since its {what} is damaged; `wetend doctor` "
                        "shows what to do.",
                        what=what,
                    )
                )
        if not found:
            raise NotFound(Message("There is no such visit in this record."))
        return found

    @staticmethod
    def _is_part_of(damaged: Damaged, kind: str, visit: str) -> bool:
        return damaged.kind == kind and damaged.visit in ("", visit)

    def _list(self, query: Select[Any]) -> list[Entry]:
        return self._asked(lambda: list(self._read(query)))

    def _read(self, query: Select[Any], *, at_once: int | None = None) -> Iterator[Entry]:
        with plainly(self.url), self._engine.connect() as connection:
            yield from self._rows(connection, query, at_once=at_once)

    def _rows(
        self, connection: Connection, query: Select[Any], *, at_once: int | None
    ) -> Iterator[Entry]:
        options = {"yield_per": at_once} if at_once else {}
        with connection.execute(query, execution_options=options) as rows:
            for batch in rows.partitions(at_once or _AT_ONCE):
                read, damaged = entries_of(batch)
                self._damage.met(damaged)
                self._damage.sound(entry.id for entry in read)
                if read:
                    seen(max(entry.id for entry in read))
                yield from read
