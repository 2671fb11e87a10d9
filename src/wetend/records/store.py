"""The depot's record: entries appended for good and read back in the order they were made."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from pydantic import ValidationError
from sqlalchemy import URL, Connection, Engine, Insert, Select, select
from sqlalchemy.dialects import postgresql, sqlite

from wetend.errors import BadInput, NotFound, StorageFailed
from wetend.records.engine import locate, plainly, reach
from wetend.records.entries import Entry, check
from wetend.records.photos import PhotoShelf
from wetend.records.schema import migrate
from wetend.records.tables import entries as table

_AT_ONCE = 500


class Depot:
    """Every entry and photo of a depot. Safe to share between threads and processes."""

    def __init__(self, url: URL, engine: Engine, photos: PhotoShelf) -> None:
        self.url = url
        self.photos = photos
        self._engine = engine
        self._writer = engine.execution_options(writes=True)

    @classmethod
    def open(cls, where: str | Path, *, photos: str | Path | None = None) -> Depot:
        """Open the record at a path or URL, made or brought up to date where needed.

        Args:
            where: an SQLite file's path, or an ``sqlite:///`` or ``postgresql://`` URL.
            photos: folder for photos; else ``WETEND_PHOTOS``; else beside the SQLite file.

        Raises:
            BadInput: ``where`` names no database.
            StorageFailed: it can't be opened, or a later version wrote it.
        """
        url = locate(where)
        folder = photos or os.environ.get("WETEND_PHOTOS") or None
        if folder is None and url.get_backend_name() == "sqlite":
            folder = Path(url.database or "").with_suffix(".photos")
        with plainly(url):
            engine = reach(url)
            migrate(engine)
        return cls(url, engine, PhotoShelf(Path(folder) if folder else None))

    def append(self, *entries: Entry) -> None:
        """Keep entries for good: all or none, on disk when this returns.

        An entry that is there already is left as it is.

        Raises:
            BadInput: an entry can't be read, or differs from the one kept under its id.
            StorageFailed: the disk or the server failed; nothing was kept.
        """
        for entry in entries:
            check(entry)
        self.merge(entries)

    def merge(self, entries: Iterable[Entry]) -> int:
        """Keep entries made elsewhere, even of kinds this version can't read: all or none.

        Returns:
            How many were new here.

        Raises:
            BadInput: one differs from the one kept under its id; nothing was kept.
            StorageFailed: the disk or the server failed; nothing was kept.
        """
        ordered = sorted(entries, key=lambda e: e.id)
        with plainly(self.url), self._writer.begin() as connection:
            return sum(_keep(connection, entry) for entry in ordered)

    def entry(self, entry_id: str) -> Entry:
        """One entry.

        Raises:
            NotFound: there is none with this id.
        """
        found = list(self._read(select(table).where(table.c.id == entry_id)))
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
        return list(self.each_entry(pump=pump, visit=visit, kinds=kinds))

    def each_entry(
        self,
        *,
        pump: str | None = None,
        visit: str | None = None,
        kinds: Sequence[str] | None = None,
    ) -> Iterator[Entry]:
        """As :meth:`entries`, one after another, so that a long record needs little memory."""
        query = select(table).order_by(table.c.id)
        if pump is not None:
            query = query.where(table.c.pump == pump)
        if visit is not None:
            query = query.where(table.c.visit == visit)
        if kinds is not None:
            query = query.where(table.c.kind.in_(kinds))
        return self._read(query)

    def visit_entries(self, visit: str) -> list[Entry]:
        """All that :func:`wetend.records.fold.fold_visit` needs: a visit's entries and its pump's.

        Raises:
            NotFound: there is no such visit.
        """
        own = self.entries(visit=visit)
        if not own:
            raise NotFound("There is no such visit in this record.")
        pumps = {entry.pump for entry in own}
        described = [e for p in pumps for e in self.entries(pump=p) if e.visit is None]
        return sorted({e.id: e for e in [*own, *described]}.values(), key=lambda e: e.id)

    def _read(self, query: Select[Any]) -> Iterator[Entry]:
        with plainly(self.url), self._engine.connect() as connection:
            rows = connection.execution_options(yield_per=_AT_ONCE).execute(query)
            for row in rows.mappings():
                yield _entry(dict(row))

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


def _entry(row: dict[str, Any]) -> Entry:
    try:
        return Entry.model_validate(row)
    except ValidationError as error:
        raise StorageFailed(
            f"Entry {row.get('id')} is damaged; restore the last backup."
        ) from error


def _insert(connection: Connection) -> Insert:
    """Both databases know how to leave a row alone that is there already."""
    if connection.dialect.name == "postgresql":
        return postgresql.insert(table).on_conflict_do_nothing(index_elements=[table.c.id])
    return sqlite.insert(table).on_conflict_do_nothing(index_elements=[table.c.id])


def _keep(connection: Connection, entry: Entry) -> bool:
    """Insert an entry; whether it was new."""
    if connection.execute(_insert(connection), entry.model_dump()).rowcount:
        return True
    kept = connection.execute(select(table).where(table.c.id == entry.id)).mappings().one()
    if _entry(dict(kept)) != entry:
        raise BadInput(
            f"Another entry is kept under the id {entry.id}; the one given differs and was refused."
        )
    return False
