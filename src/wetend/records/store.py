"""The depot's store: entries appended permanently and read in the order they were made."""

from __future__ import annotations

import os
import secrets
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from itertools import islice
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import URL, Connection, Engine, delete, select, update

from wetend import keeping
from wetend.errors import BadInput, Refused, StorageFailed
from wetend.records import idempotency, queries, settings
from wetend.records.checksums import Tally
from wetend.records.engine import locate, plainly
from wetend.records.entries import Entry, check
from wetend.records.files import path_given
from wetend.records.opening import Reached, reach
from wetend.records.photos import PhotoShelf
from wetend.records.reading import Reader
from wetend.records.rows import checksum_of, columns, entries_of, row_of
from wetend.records.tables import entries as table
from wetend.units.message import Message

DEMO = "demo"
"""The purpose of a depot of invented data, which may be emptied."""
_AT_ONCE = 500
_SECRET_BYTES = 32


class Depot(Reader):
    """Every entry and photo of a depot. Safe to share between threads and processes.

    SQLite lets one writer at a time: writers of this process wait for their turn before they take
    a connection, so that readers never run out of them.
    """

    def __init__(self, url: URL, reached: Reached, photos: PhotoShelf) -> None:
        super().__init__(url, reached)
        self.photos = photos
        self._turn = threading.Lock() if url.get_backend_name() == "sqlite" else nullcontext()

    @classmethod
    def open(
        cls,
        where: str | Path,
        *,
        photos: str | Path | None = None,
        create: bool = True,
        purpose: str = "",
    ) -> Depot:
        """Open the record at a path or URL, brought up to date where needed.

        Args:
            where: an SQLite file's path, or an ``sqlite:///`` or ``postgresql://`` URL.
            photos: folder for photos; else beside the SQLite file, or for PostgreSQL the folder
                named by ``WETEND_PHOTOS``.
            create: whether to make one where there is none.
            purpose: what one made now is for; :data:`DEMO` or blank.

        Raises:
            BadInput: ``where`` names no database.
            NotFound: there is none, and none is to be made.
            StorageFailed: it can't be opened, or a later version wrote it.
        """
        url = locate(where)
        reached = reach(url, create=create, purpose=purpose)
        return cls(url, reached, PhotoShelf(_photo_folder(url, photos)))

    def append(
        self, *entries: Entry, act: str = "", last: Callable[[], object] = lambda: None
    ) -> str | None:
        """Keep entries for good: all or none, on disk when this returns.

        An entry that is there already is left as it is.

        Args:
            entries: what to keep.
            act: id of the form they come from; a form kept before saves nothing more.
            last: called when all are in and none is yet kept for good; if it raises, none is.

        Returns:
            The first entry's id if the form was kept before; else ``None``.

        Raises:
            BadInput: an entry can't be read, or differs from the one kept under its id.
            StorageFailed: the disk or the server failed; nothing was saved.
        """
        for entry in entries:
            check(entry)
        ordered = sorted(entries, key=lambda e: e.id)
        with self.writing() as connection:
            if act and ordered:
                before = idempotency.first_of(connection, act, ordered[0].id)
                if before is not None:
                    return before
            _keep_all(connection, ordered, last)
        return None

    def note_done(self, name: str) -> None:
        """Remember that something was done once, such as a pass given back; twice is once."""
        with self.writing() as connection:
            idempotency.note(connection, name, "0" * 32)

    def merge(self, entries: Iterable[Entry], *, last: Callable[[], object] = lambda: None) -> int:
        """Keep entries made elsewhere, even of kinds this version can't read: all or none.

        Give many in the order of their ids, so that two who merge the same ones never wait for
        each other in a ring. ``last`` is called when all are in and none is yet kept for good; if
        it raises, nothing is saved.

        Returns:
            How many were new here.

        Raises:
            BadInput: one differs from the one kept under its id; nothing was saved.
            StorageFailed: the disk or the server failed; nothing was saved.
        """
        return self.merge_and_mend(entries, last=last)[0]

    def merge_and_mend(
        self, entries: Iterable[Entry], *, last: Callable[[], object] = lambda: None
    ) -> tuple[int, int]:
        """Merge as :meth:`merge` does; how many were new, and how many replaced a damaged one."""
        with self.writing() as connection:
            new, mended = _keep_all(connection, entries, last)
        self._damage.sound(mended)
        return new, len(mended)

    @property
    def purpose(self) -> str:
        """What this depot is for: :data:`DEMO`, or blank."""

        def ask() -> str:
            with plainly(self.url), self._engine.connect() as connection:
                return settings.value_of(connection, settings.PURPOSE) or ""

        return self._asked(ask)

    def call_demo(self) -> None:
        """Say that all in this depot is invented."""
        with self.writing() as connection:
            settings.put(connection, settings.PURPOSE, DEMO)

    def empty_demo(self) -> None:
        """Take every entry and photo out of a depot of invented data, in one go.

        Raises:
            Refused: it is not said to be one.
        """
        with self.writing() as connection:
            if settings.value_of(connection, settings.PURPOSE) != DEMO:
                raise Refused(Message("This is not a demo depot; nothing was removed from it."))
            connection.execute(delete(table))
            settings.put(connection, settings.TALLY, str(Tally()))
        self.photos.clear()

    def secret(self) -> bytes:
        """A secret of 32 bytes kept in the database itself, made at the first call.

        Raises:
            StorageFailed: it can't be kept.
        """
        fresh = secrets.token_hex(_SECRET_BYTES)
        with self.writing() as connection:
            if settings.value_of(connection, settings.SECRET) is None:
                settings.put(
                    connection, settings.SECRET, fresh, replace=False
                )  # or another's was first
            kept = settings.value_of(connection, settings.SECRET)
            if kept is None:  # damaged
                settings.put(connection, settings.SECRET, fresh)
        return bytes.fromhex(kept or fresh)

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A transaction that writes: all of it is kept, on disk when left, or nothing."""
        if self.closed_to_writing:
            raise StorageFailed(self.closed_to_writing)
        with plainly(self.url), self._turn, self._writer.begin() as connection:
            yield connection

    @property
    def _writer(self) -> Engine:
        return self._engine.execution_options(writes=True)

    def close(self) -> None:
        """Let go of the database, and of what was computed from it."""
        self._engine.dispose()
        keeping.forget_owner(str(self.url))

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


def _keep_all(
    connection: Connection, entries: Iterable[Entry], last: Callable[[], object] = lambda: None
) -> tuple[int, list[str]]:
    """Keep entries and count them; how many were new, and ids of damaged ones replaced.

    They are counted last, so that nobody waits long for the tally.
    """
    new: list[str] = []
    mended: list[str] = []
    left = iter(entries)
    while batch := list(islice(left, _AT_ONCE)):
        added, replaced = _keep(connection, batch)
        new += added
        mended += replaced
    last()
    if new:
        tally = Tally.read(settings.value_of(connection, settings.TALLY, to_change=True))
        if tally is not None:
            settings.put(connection, settings.TALLY, str(tally.with_more(new)))
    return len(new), mended


def _keep(connection: Connection, batch: Sequence[Entry]) -> tuple[list[str], list[str]]:
    """Insert what is new, replace what is damaged, make sure that the rest is the same.

    Returns:
        Checksums of those inserted, and ids of those replaced.
    """
    by_id: dict[str, Entry] = {}
    for entry in batch:
        _same(by_id.setdefault(entry.id, entry), entry)
    adding = queries.adding(connection).returning(table.c.id)
    new = set(connection.scalars(adding, [row_of(entry) for entry in by_id.values()]))
    rest = [made for made in by_id if made not in new]
    if not rest:
        return [checksum_of(by_id[made]) for made in new], []
    there = select(*columns(connection.dialect.name)).where(queries.any_of(table.c.id, rest))
    sound, _ = entries_of(connection.execute(there).all())
    for kept in sound:
        _same(kept, by_id[kept.id])
    damaged = [by_id[made] for made in rest if made not in {kept.id for kept in sound}]
    for entry in damaged:
        spoilt = update(table).where(table.c.id == entry.id)
        if connection.execute(spoilt.values(**row_of(entry))).rowcount != 1:
            raise StorageFailed(
                Message("This record is damaged; repair it with `wetend doctor --mend` first.")
            )
    return [checksum_of(by_id[made]) for made in new], [entry.id for entry in damaged]


def _same(kept: Entry, given: Entry) -> None:
    if kept != given:
        raise BadInput(
            Message(
                "Another entry is saved under the id {id}; the new one differs and was refused.",
                id=given.id,
            )
        )
