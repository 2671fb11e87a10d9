"""A depot that may not be written can be read, and says so to whoever tries to write."""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from alembic import command

from wetend.errors import StorageFailed
from wetend.pump.readings import Note
from wetend.records import engine as engines
from wetend.records.entries import Entry, new_entry
from wetend.records.health_check import examine
from wetend.records.integrity import State
from wetend.records.migrating import migrations
from wetend.records.repair import mend
from wetend.records.rows import NAMES
from wetend.records.store import Depot


def note(said: str = "hello") -> Entry:
    return new_entry("note", Note(text=said), pump="p")


@contextmanager
def without_rights() -> Iterator[None]:
    """Act as a person without special rights: root, whom no permission stops, becomes nobody."""
    root = os.geteuid() == 0
    if root:
        os.seteuid(65534)
    try:
        yield
    finally:
        if root:
            os.seteuid(0)


@pytest.fixture
def folder() -> Iterator[Path]:
    """A folder that anybody may look into, writable again at the end.

    Not among pytest's own, which the next pytest to start shuts to others.
    """
    with tempfile.TemporaryDirectory(prefix="wetend-read-only-") as above:
        Path(above).chmod(0o755)
        made = Path(above) / "stick"
        made.mkdir()
        yield made
        made.chmod(0o755)


@contextmanager
def read_only(folder: Path) -> Iterator[None]:
    """Nothing in a folder may be written, by somebody without special rights."""
    for path in folder.rglob("*"):
        path.chmod(0o555 if path.is_dir() else 0o444)
    folder.chmod(0o555)
    try:
        with without_rights():
            yield
    finally:
        folder.chmod(0o755)
        for path in folder.rglob("*"):
            path.chmod(0o755 if path.is_dir() else 0o644)


def closed(folder: Path, made: list[Entry]) -> None:
    with Depot.open(folder / "d.sqlite3") as depot:
        depot.append(*made)


def with_log(folder: Path, made: list[Entry]) -> None:
    """As copied from a running server, or after a kill: the latest entries stand in the log."""
    other = folder.parent / "other"
    with Depot.open(other / "d.sqlite3") as depot:
        depot.append(*made[:1])
        depot._engine.dispose()
        depot.append(*made[1:])
        for name in ("d.sqlite3", "d.sqlite3-wal"):
            shutil.copy(other / name, folder / name)


def earlier(folder: Path, made: list[Entry]) -> None:
    """As the first schema kept it."""
    (folder / "d.sqlite3").touch()
    reached = engines.sqlite(engines.locate(folder / "d.sqlite3"))
    with reached.execution_options(writes=True).begin() as connection:
        command.upgrade(migrations(connection), "0001")
    reached.dispose()
    with sqlite3.connect(folder / "d.sqlite3") as raw:
        marks = ", ".join("?" * len(NAMES))
        for entry in made:
            row = {n: getattr(entry, n) for n in NAMES}
            row["at"] = entry.at.replace(tzinfo=None).isoformat(" ", "microseconds")
            raw.execute(
                f"insert into entries ({', '.join(NAMES)}) values ({marks})", list(row.values())
            )
    raw.close()


@pytest.mark.parametrize("left", [closed, with_log, earlier])
def test_all_of_it_is_read(folder: Path, left: Callable[[Path, list[Entry]], None]) -> None:
    made = [note(str(n)) for n in range(5)]
    left(folder, made)
    before = {p.name: p.read_bytes() for p in folder.iterdir()}
    with read_only(folder), Depot.open(folder / "d.sqlite3", create=False) as depot:
        assert depot.entries() == made
        assert depot.entries(pump="p") == made
        assert depot.notices[0].endswith("may not be written: the file or its folder is read-only.")
        assert len(depot.notices) == 1
        assert (examine(depot).entries, examine(depot).file) == (5, State.SOUND)
        assert depot.purpose == ""
        for write in (lambda: depot.append(note()), depot.secret, depot.call_demo):
            with pytest.raises(StorageFailed, match="may not be written"):
                write()
    after = {p.name: p.read_bytes() for p in folder.iterdir()}
    assert {n: d for n, d in after.items() if not n.endswith("-shm")} == before


def test_an_empty_one_of_an_earlier_version_is_read(folder: Path) -> None:
    earlier(folder, [])
    with read_only(folder), Depot.open(folder / "d.sqlite3", create=False) as depot:
        assert depot.entries() == []
        with pytest.raises(StorageFailed, match="may not be written"):
            depot.append(note())


def test_a_file_alone_may_be_read_only(folder: Path) -> None:
    made = note()
    closed(folder, [made])
    (folder / "d.sqlite3").chmod(0o444)
    folder.chmod(0o777)
    with without_rights(), Depot.open(folder / "d.sqlite3") as depot:
        assert depot.entries() == [made]
        with pytest.raises(StorageFailed, match="may not be written"):
            depot.append(note())


def test_it_is_not_mended(folder: Path) -> None:
    closed(folder, [note()])
    with read_only(folder), pytest.raises(StorageFailed, match="may not be written"):
        mend(folder / "d.sqlite3")


def test_photos_are_shown_and_none_is_half_kept(
    folder: Path, picture: Callable[[str], bytes]
) -> None:
    closed(folder, [note()])
    with Depot.open(folder / "d.sqlite3") as depot:
        sha = depot.photos.put(picture("red")).sha256
    with read_only(folder), Depot.open(folder / "d.sqlite3") as depot:
        assert depot.photos.get(sha)[0] == picture("red")
        with pytest.raises(StorageFailed, match="can't be"):
            depot.photos.put(picture("blue"))
    assert len(list((folder / "d.photos").rglob("*.*"))) == 1


def test_one_that_may_not_even_be_read_says_so(folder: Path) -> None:
    closed(folder, [note()])
    (folder / "d.sqlite3").chmod(0o000)
    with without_rights(), pytest.raises(StorageFailed, match="you may not read or write there"):
        Depot.open(folder / "d.sqlite3")
