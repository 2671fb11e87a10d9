"""How the database is opened, and what is said when it fails."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import event, text

from wetend.errors import BadInput, StorageFailed
from wetend.pump.readings import Note
from wetend.records import engine as engine_module
from wetend.records.entries import Entry, new_entry
from wetend.records.store import Depot


def note(said: str = "hello") -> Entry:
    return new_entry("note", Note(text=said), pump="p")


def test_commits_wait_for_the_disk(tmp_path: Path) -> None:
    """SQLite documentation, «PRAGMA synchronous»: in WAL mode FULL (2) syncs after each commit."""
    with Depot.open(tmp_path / "d.sqlite3") as depot, depot._engine.connect() as connection:
        said = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
    assert said == {
        "journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 20000
    }  # fmt: skip


@pytest.mark.postgresql
def test_commits_wait_for_the_server_s_disk(postgresql_url: str) -> None:
    with Depot.open(postgresql_url) as depot, depot._engine.connect() as connection:
        assert connection.execute(text("show synchronous_commit")).scalar() == "on"
        assert connection.execute(text("show timezone")).scalar() == "UTC"


@pytest.mark.parametrize(
    "where",
    ["", " ", "a\0b", "sqlite://", "sqlite:///:memory:", "mysql://me@there/x", "postgresql://h:port/x",
     "http://there/depot", "postgresql+psycopg2://there/x", "://"],
)  # fmt: skip
def test_a_place_that_is_no_database_is_refused(where: str) -> None:
    with pytest.raises(BadInput):
        Depot.open(where)


@pytest.mark.postgresql
@pytest.mark.parametrize("scheme", ["postgresql", "postgresql+psycopg", "postgres"])
def test_postgresql_goes_by_all_its_names(postgresql_url: str, scheme: str) -> None:
    with Depot.open(scheme + postgresql_url.removeprefix("postgresql")) as depot:
        depot.append(note())


def test_sqlite_goes_by_path_and_url(tmp_path: Path) -> None:
    made = note()
    with Depot.open(f"sqlite:///{tmp_path}/new folder/ö%20.sqlite3") as depot:
        depot.append(made)
    with Depot.open(tmp_path / "new folder" / "ö%20.sqlite3") as depot:
        assert depot.entries() == [made]


def test_a_folder_in_the_way_of_the_record(tmp_path: Path) -> None:
    with pytest.raises(StorageFailed, match="is a folder; name the depot's file in it"):
        Depot.open(tmp_path)


def test_a_file_in_the_way_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(StorageFailed, match=r"The folder .* can't be made"):
        Depot.open(tmp_path / "file" / "depot.sqlite3")


def test_a_file_that_is_no_record_is_left_alone(tmp_path: Path) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear crew, " * 200)
    with pytest.raises(StorageFailed, match="not a record"):
        Depot.open(letter)
    assert letter.read_text() == "Dear crew, " * 200


def test_another_program_s_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite3"
    with closing(sqlite3.connect(path)) as other, other:
        other.execute("create table stamps (x)")
    before = path.read_bytes()
    with pytest.raises(StorageFailed, match="belongs to another program"):
        Depot.open(path)
    assert path.read_bytes() == before


def test_a_record_of_which_nothing_is_left_says_so(tmp_path: Path) -> None:
    path = tmp_path / "d.sqlite3"
    with Depot.open(path) as depot:
        depot.append(*(note("x" * 500) for _ in range(20)))
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(b"\xa5" * path.stat().st_size)
    with pytest.raises(StorageFailed, match="damaged"):
        Depot.open(path).entries()


def test_a_full_disk_keeps_what_was_there(tmp_path: Path) -> None:
    """SQLite's own limit on a file's pages gives the error a full disk gives (SQLITE_FULL)."""
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        kept = note()
        depot.append(kept)

        def small(connection: sqlite3.Connection, *_: object) -> None:
            connection.execute("PRAGMA max_page_count=20")

        event.listen(depot._engine, "checkout", small)
        with pytest.raises(StorageFailed, match="disk is full"):
            depot.append(*(note("x" * 4000) for _ in range(50)))
        assert depot.entries() == [kept]


def test_a_record_kept_busy_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(engine_module, "_BUSY_SECONDS", 0.05)
    path = tmp_path / "d.sqlite3"
    with Depot.open(path) as depot:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StorageFailed, match="busy"):
            depot.append(note())
        assert depot.entries() == []
        other.close()
        depot.append(note())


@pytest.mark.postgresql
def test_a_server_that_is_not_there_is_named_without_its_password(tmp_path: Path) -> None:
    with pytest.raises(StorageFailed, match="can't be reached") as failed:
        Depot.open(f"postgresql://me:secret@/x?host={tmp_path}")
    assert "secret" not in str(failed.value)
    assert str(failed.value).startswith("The PostgreSQL record postgresql://me@/x?host=")


def test_a_depot_is_its_owner_s_alone(tmp_path: Path) -> None:
    """The log and its index take the file's mode."""
    with Depot.open(tmp_path / "new" / "d.sqlite3") as depot:
        depot.append(note())
        modes = {f.name: f.stat().st_mode & 0o777 for f in (tmp_path / "new").iterdir()}
    assert modes == {"d.sqlite3": 0o600, "d.sqlite3-wal": 0o600, "d.sqlite3-shm": 0o600}
    assert (tmp_path / "new").stat().st_mode & 0o777 == 0o700
