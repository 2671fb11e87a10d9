"""The depot's record: entries appended for good and read back in the order they were made."""

from __future__ import annotations

import os
import re
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import nullcontext
from datetime import UTC, datetime, timedelta
from itertools import groupby, islice
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import (
    URL,
    Column,
    ColumnElement,
    Connection,
    Engine,
    Insert,
    Select,
    and_,
    func,
    or_,
    select,
    union_all,
)
from sqlalchemy.dialects import postgresql, sqlite

from wetend.errors import BadInput, NotFound, StorageFailed
from wetend.records.engine import locate, plainly, reach
from wetend.records.entries import Entry, check
from wetend.records.files import path_given
from wetend.records.ids import seen
from wetend.records.photos import PhotoShelf
from wetend.records.schema import migrate
from wetend.records.tables import acts
from wetend.records.tables import entries as table

_AT_ONCE = 500
_REMEMBERED = timedelta(days=60)
"""How long a form that was kept is remembered; its token lives for hours."""
_NAMED = re.compile(r"[a-z0-9-]{1,64}")
_COLUMNS = tuple(column.name for column in table.columns)
_MANY = TypeAdapter(list[Entry])


class Depot:
    """Every entry and photo of a depot. Safe to share between threads and processes.

    SQLite lets one writer at a time: writers of this process wait for their turn before they take
    a connection, so that readers never run out of them.
    """

    def __init__(self, url: URL, engine: Engine, photos: PhotoShelf) -> None:
        self.url = url
        self.photos = photos
        self._engine = engine
        self._writer = engine.execution_options(writes=True)
        self._turn = threading.Lock() if url.get_backend_name() == "sqlite" else nullcontext()

    @classmethod
    def open(cls, where: str | Path, *, photos: str | Path | None = None) -> Depot:
        """Open the record at a path or URL, made or brought up to date where needed.

        Args:
            where: an SQLite file's path, or an ``sqlite:///`` or ``postgresql://`` URL.
            photos: folder for photos; else beside the SQLite file, or for PostgreSQL the folder
                named by ``WETEND_PHOTOS``.

        Raises:
            BadInput: ``where`` names no database.
            StorageFailed: it can't be opened, or a later version wrote it.
        """
        url = locate(where)
        engine = reach(url)
        depot = cls(url, engine, PhotoShelf(_photo_folder(url, photos)))
        try:
            with plainly(url):
                migrate(engine)
        except StorageFailed:
            depot.close()
            raise
        return depot

    def append(self, *entries: Entry, act: str = "") -> str | None:
        """Keep entries for good: all or none, on disk when this returns.

        An entry that is there already is left as it is.

        Args:
            entries: what to keep.
            act: id of the form they come from; a form kept before keeps nothing more.

        Returns:
            The first entry's id if the form was kept before; else ``None``.

        Raises:
            BadInput: an entry can't be read, or differs from the one kept under its id.
            StorageFailed: the disk or the server failed; nothing was kept.
        """
        for entry in entries:
            check(entry)
        ordered = sorted(entries, key=lambda e: e.id)
        with plainly(self.url), self._turn, self._writer.begin() as connection:
            if act and ordered:
                before = _act(connection, act, ordered[0])
                if before is not None:
                    return before
            for start in range(0, len(ordered), _AT_ONCE):
                _keep(connection, ordered[start : start + _AT_ONCE])
        return None

    def note_done(self, name: str) -> None:
        """Remember that something was done once, such as a pass given back; twice is once."""
        row = {"id": name[:80], "first": "0" * 32, "at": datetime.now(UTC)}
        with plainly(self.url), self._turn, self._writer.begin() as connection:
            connection.execute(_insert_act(connection).values(row))

    def noted(self, start: str) -> list[str]:
        """What was noted as done under names that begin so, without that beginning."""
        with plainly(self.url), self._engine.connect() as connection:
            found = connection.scalars(select(acts.c.id).where(acts.c.id.like(f"{start}%")))
            return [str(name).removeprefix(start) for name in found]

    def kept_under(self, act: str) -> list[Entry]:
        """What a form has kept so far, in the order of the entries' ids."""
        if not act:
            return []
        made = select(acts.c.first).where(acts.c.id.like(f"{act}.%"))
        return list(self._read(select(table).where(table.c.id.in_(made)).order_by(table.c.id)))

    def merge(self, entries: Iterable[Entry], *, last: Callable[[], object] = lambda: None) -> int:
        """Keep entries made elsewhere, even of kinds this version can't read: all or none.

        Give many in the order of their ids, so that two who merge the same ones never wait for
        each other in a ring. ``last`` is called when all are in and none is yet kept for good; if
        it raises, nothing is kept.

        Returns:
            How many were new here.

        Raises:
            BadInput: one differs from the one kept under its id; nothing was kept.
            StorageFailed: the disk or the server failed; nothing was kept.
        """
        new = 0
        left = iter(entries)
        with plainly(self.url), self._turn, self._writer.begin() as connection:
            while batch := list(islice(left, _AT_ONCE)):
                new += _keep(connection, batch)
            last()
        return new

    def entry(self, entry_id: str) -> Entry:
        """One entry.

        Raises:
            NotFound: there is none with this id.
        """
        found = list(self._read(select(table).where(_any_of(table.c.id, (entry_id,)))))
        if not found:
            raise NotFound("There is no such entry in this record.")
        return found[0]

    def entries(
        self,
        *,
        pump: str | None = None,
        visit: str | None = None,
        kinds: Sequence[str] | None = None,
    ) -> list[Entry]:
        """Entries in the order of their ids, all or those of a pump, a visit, some kinds."""
        return list(self._read(_wanted(pump, visit, kinds)))

    def each_entry(self) -> Iterator[Entry]:
        """All entries as they stand now, one after another: a long record needs little memory."""
        return self._read(_wanted(None, None, None), at_once=_AT_ONCE)

    def by_pump(self, *, kinds: Sequence[str]) -> Iterator[tuple[str, list[Entry]]]:
        """Entries of some kinds, pump by pump by key: a long record needs little memory."""
        query = _wanted(None, None, kinds).order_by(None).order_by(table.c.pump, table.c.id)
        for key, own in groupby(self._read(query, at_once=_AT_ONCE), key=lambda e: e.pump):
            yield key, list(own)

    def since(self, entry_id: str, *, kinds: Sequence[str]) -> list[Entry]:
        """Entries of some kinds with later ids than this."""
        return list(self._read(_wanted(None, None, kinds).where(table.c.id > entry_id)))

    def latest(self, *, kinds: Sequence[str]) -> str:
        """The latest id among entries of some kinds; blank where there are none. Quick."""
        each = [select(func.max(table.c.id)).where(_any_of(table.c.kind, (k,))) for k in kinds]
        with plainly(self.url), self._engine.connect() as connection:
            return max(str(found or "") for found in connection.scalars(union_all(*each)))

    def state(self, *, kinds: Sequence[str]) -> tuple[int, str]:
        """How many entries of some kinds there are and the latest id: alike if none was added."""
        query = select(func.count(), func.max(table.c.id)).where(_any_of(table.c.kind, kinds))
        with plainly(self.url), self._engine.connect() as connection:
            count, latest = connection.execute(query).one()
        return int(count), str(latest or "")

    def visit_entries(self, visit: str) -> list[Entry]:
        """All that :func:`wetend.records.fold.fold_visit` needs: a visit's entries and its pump's.

        Raises:
            NotFound: there is no such visit.
        """
        own = _any_of(table.c.visit, (visit,))
        its_pump = table.c.pump.in_(select(table.c.pump).where(own))
        wanted = or_(own, and_(table.c.visit.is_(None), its_pump))
        found = list(self._read(select(table).where(wanted).order_by(table.c.id)))
        if not found:
            raise NotFound("There is no such visit in this record.")
        return found

    def _read(self, query: Select[Any], *, at_once: int | None = None) -> Iterator[Entry]:
        options = {"yield_per": at_once} if at_once else {}
        with (
            plainly(self.url),
            self._engine.connect() as connection,
            connection.execution_options(**options).execute(query) as rows,
        ):
            for batch in rows.partitions(at_once or _AT_ONCE):
                read = _entries([dict(zip(_COLUMNS, row, strict=True)) for row in batch])
                seen(max(entry.id for entry in read))
                yield from read

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def _photo_folder(url: URL, given: str | Path | None) -> Path | None:
    if given is None and url.get_backend_name() == "sqlite":
        return Path(url.database or "").with_suffix(".photos")
    folder = given or os.environ.get("WETEND_PHOTOS")
    return path_given(folder) if folder else None


def _entries(rows: list[dict[str, Any]]) -> list[Entry]:
    """Many rows at once, which is quicker than one by one."""
    try:
        return _MANY.validate_python(rows)
    except ValidationError:
        return [_entry(row) for row in rows]


def _entry(row: dict[str, Any]) -> Entry:
    try:
        return Entry.model_validate(row)
    except ValidationError as error:
        raise StorageFailed(
            f"Entry {row.get('id')} is damaged; restore the last backup."
        ) from error


def _wanted(pump: str | None, visit: str | None, kinds: Sequence[str] | None) -> Select[Any]:
    query = select(table).order_by(table.c.id)
    if pump is not None:
        query = query.where(_any_of(table.c.pump, (pump,)))
    if visit is not None:
        query = query.where(_any_of(table.c.visit, (visit,)))
    if kinds is not None:
        query = query.where(_any_of(table.c.kind, kinds))
    return query


def _any_of(column: Column[Any], wanted: Sequence[str]) -> ColumnElement[bool]:
    """Rows with one of these ids, slugs or kinds; text that can be none of them finds nothing."""
    return column.in_([name for name in wanted if _NAMED.fullmatch(name)])


def _insert(connection: Connection) -> Insert:
    """Both databases know how to leave a row alone that is there already."""
    if connection.dialect.name == "postgresql":
        return postgresql.insert(table).on_conflict_do_nothing(index_elements=[table.c.id])
    return sqlite.insert(table).on_conflict_do_nothing(index_elements=[table.c.id])


def _insert_act(connection: Connection) -> Any:
    dialect = postgresql if connection.dialect.name == "postgresql" else sqlite
    return dialect.insert(acts).on_conflict_do_nothing(index_elements=[acts.c.id])


def _act(connection: Connection, act: str, first: Entry) -> str | None:
    """Note that a form is being kept; the first entry it made, where it was kept before."""
    row = {"id": act, "first": first.id, "at": datetime.now(UTC)}
    new = connection.execute(_insert_act(connection).values(row).returning(acts.c.id)).scalar()
    if new is not None:
        old = datetime.now(UTC) - _REMEMBERED
        connection.execute(acts.delete().where(acts.c.at < old))
        return None
    found = connection.execute(select(acts.c.first).where(acts.c.id == act)).scalar_one()
    return str(found)


def _keep(connection: Connection, batch: Sequence[Entry]) -> int:
    """Insert what is new, make sure that the rest is the same; how many were new."""
    by_id: dict[str, Entry] = {}
    for entry in batch:
        _same(by_id.setdefault(entry.id, entry), entry)
    adding = _insert(connection).returning(table.c.id)
    new = set(connection.scalars(adding, [entry.model_dump() for entry in by_id.values()]))
    rest = _any_of(table.c.id, [made for made in by_id if made not in new])
    for row in connection.execute(select(table).where(rest)).mappings():
        _same(_entry(dict(row)), by_id[row["id"]])
    return len(new)


def _same(kept: Entry, given: Entry) -> None:
    if kept != given:
        raise BadInput(
            f"Another entry is kept under the id {given.id}; the one given differs and was refused."
        )
