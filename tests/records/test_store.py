"""The depot's record: all or nothing, the same on both databases, failures in a sentence."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import psycopg
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from sqlalchemy import event, make_url, text

from wetend.errors import BadInput, NotFound, StorageFailed
from wetend.pump.description import Pump
from wetend.pump.readings import Complaint, Note, VisitStart
from wetend.records import engine as engine_module
from wetend.records.entries import Entry, new_entry
from wetend.records.ids import new_id
from wetend.records.store import Depot


def note(said: str = "hello", pump: str = "p", **other: str) -> Entry:
    return new_entry("note", Note(text=said), pump=pump, **other)


def tiny_png() -> bytes:
    file = BytesIO()
    Image.new("RGB", (2, 2), "red").save(file, "PNG")
    return file.getvalue()


def test_what_is_appended_is_read_back(depot: Depot, demo_pumps: tuple[Pump, ...]) -> None:
    visit = new_id()
    made = [new_entry("pump-described", p, pump=p.key) for p in demo_pumps]
    made.append(
        new_entry(
            "visit-started", VisitStart(pump="quay-air"), pump="quay-air", visit=visit,
            who="A. Å. Ωμέγα", place="quay 3", device="phone",
            at=datetime(2024, 2, 29, 23, 59, 59, 123456, tzinfo=UTC),
        )
    )  # fmt: skip
    depot.append(*made)
    assert depot.entries() == made
    assert depot.entry(made[-1].id) == made[-1]
    assert depot.entries(visit=visit) == made[-1:]
    assert depot.entries(pump="quay-air") == [made[0], made[2]]
    assert depot.entries(kinds=("pump-described",)) == made[:2]
    assert depot.entries(pump="quay-air", kinds=("visit-started", "note")) == made[-1:]
    assert depot.entries(kinds=()) == []
    assert depot.visit_entries(visit) == [made[0], made[2]]


def test_entries_come_in_the_order_of_their_ids(depot: Depot) -> None:
    made = [note(str(n)) for n in range(40)]
    for entry in reversed(made):
        depot.append(entry)
    assert depot.entries() == made


def test_what_is_not_there_is_not_found(depot: Depot) -> None:
    with pytest.raises(NotFound, match="no such entry"):
        depot.entry(new_id())
    with pytest.raises(NotFound, match="no such visit"):
        depot.visit_entries(new_id())
    assert depot.entries(pump="nobody") == []


@pytest.mark.parametrize("odd", ["", "'; drop table entries; --", "%", "\x00", "\ud800", "é" * 500])
def test_odd_names_to_look_for_find_nothing(depot: Depot, odd: str) -> None:
    depot.append(note())
    assert depot.entries(pump=odd) == []
    assert depot.entries(visit=odd) == []
    assert depot.entries(kinds=(odd,)) == []
    with pytest.raises(NotFound):
        depot.entry(odd)
    assert len(depot.entries()) == 1


def test_the_same_entry_again_changes_nothing(depot: Depot) -> None:
    first, second = note("one"), note("two")
    depot.append(first)
    depot.append(second, first, first)
    assert depot.entries() == [first, second]
    assert depot.merge([first, second]) == 0


def test_another_entry_under_a_kept_id_is_refused_whole(depot: Depot) -> None:
    kept = note("kept")
    depot.append(kept)
    other = note("new")
    forged = kept.model_copy(update={"who": "somebody else"})
    with pytest.raises(BadInput, match=f"{kept.id}.*differs"):
        depot.append(other, forged)
    assert depot.entries() == [kept]


def test_one_bad_entry_keeps_all_out(depot: Depot) -> None:
    torn = note().model_copy(update={"payload": "{"})
    with pytest.raises(BadInput, match="can't be read"):
        depot.append(note("good"), torn)
    assert depot.entries() == []


def test_entries_of_a_later_version_are_kept_and_handed_on(depot: Depot) -> None:
    later = note().model_copy(update={"kind": "hologram", "payload": '{"depth": 3}'})
    with pytest.raises(BadInput, match="does not know"):
        depot.append(later)
    assert depot.merge([later, note()]) == 2
    assert depot.entries()[0] == later


def test_a_record_is_the_same_after_closing(depot_place: str) -> None:
    with Depot.open(depot_place) as depot:
        made = note()
        depot.append(made)
    with Depot.open(depot_place) as depot:
        assert depot.entries() == [made]


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(said=st.text(max_size=200), who=st.text(max_size=60))
def test_any_text_is_kept_as_data(depot: Depot, said: str, who: str) -> None:
    try:
        made = new_entry("complaint", Complaint(said=said), pump="p", visit=new_id(), who=who)
    except (ValueError, BadInput):
        return
    depot.append(made)
    assert depot.entry(made.id) == made


def test_threads_append_at_once(depot: Depot) -> None:
    """Writers that carry some of the same entries, in opposite orders, do not block each other."""
    shared = [note(str(n)) for n in range(20)]

    def write(number: int) -> None:
        own = note(f"own {number}")
        batch = [*shared, own]
        depot.append(*(batch if number % 2 else reversed(batch)))

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(write, range(16)))
    assert len(depot.entries()) == 36


def test_opening_at_once_makes_one_record(depot_place: str) -> None:
    gate = threading.Barrier(4)

    def enter(number: int) -> None:
        gate.wait()
        with Depot.open(depot_place) as depot:
            depot.append(note(str(number)))

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(enter, range(4)))
    with Depot.open(depot_place) as depot:
        assert len(depot.entries()) == 4


def test_two_of_one_id_in_one_go_are_refused_whole(depot: Depot) -> None:
    made = note("one")
    with pytest.raises(BadInput, match="differs"):
        depot.append(made, made.model_copy(update={"who": "somebody else"}))
    assert depot.entries() == []


def test_a_long_merge_is_one_transaction(depot: Depot) -> None:
    """The entry that does not fit comes batches later than the first ones written."""
    kept = note("kept")
    depot.append(kept)
    many = [note(str(n)) for n in range(1200)]
    with pytest.raises(BadInput):
        depot.merge([*many, kept.model_copy(update={"who": "other"})])
    assert depot.entries() == [kept]
    assert depot.merge([*many, kept]) == 1200
    assert depot.entries() == [kept, *many]


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
    with pytest.raises(StorageFailed, match="can't be opened"):
        Depot.open(tmp_path)


def test_a_file_in_the_way_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(StorageFailed, match="folder can't be made"):
        Depot.open(tmp_path / "file" / "depot.sqlite3")


def test_a_file_that_is_no_record_is_left_alone(tmp_path: Path) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear crew, " * 200)
    with pytest.raises(StorageFailed, match="not a record"):
        Depot.open(letter)
    assert letter.read_text() == "Dear crew, " * 200


def test_another_program_s_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite3"
    with sqlite3.connect(path) as other:
        other.execute("create table entries (x)")
    other.close()
    with pytest.raises(StorageFailed, match="already exists"):
        Depot.open(path)
    with sqlite3.connect(path) as other:
        assert other.execute("select name from sqlite_master").fetchall() == [("entries",)]
    other.close()


def test_a_damaged_record_says_so(tmp_path: Path) -> None:
    path = tmp_path / "d.sqlite3"
    with Depot.open(path) as depot:
        depot.append(*(note("x" * 500) for _ in range(200)))
    with path.open("r+b") as file:
        file.seek(4096)
        file.write(os.urandom(40_000))
    with pytest.raises(StorageFailed, match="damaged"):
        Depot.open(path).entries()


def test_a_row_spoilt_by_hand_says_which(depot: Depot) -> None:
    made = note()
    depot.append(made)
    with depot._writer.begin() as connection:
        connection.execute(text("update entries set pump = 'No Slug'"))
    with pytest.raises(StorageFailed, match=f"Entry {made.id} is damaged"):
        depot.entries()


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


def test_a_read_only_record_says_so(tmp_path: Path) -> None:
    for folder in tmp_path.parents[:2]:
        folder.chmod(0o755)
    path = tmp_path / "d.sqlite3"
    with Depot.open(path) as depot:
        depot.append(note())
    path.chmod(0o444)
    tmp_path.chmod(0o555)
    try:
        with without_rights(), pytest.raises(StorageFailed, match="read-only"):
            Depot.open(path)
    finally:
        tmp_path.chmod(0o755)
        path.chmod(0o644)


@pytest.mark.postgresql
def test_a_server_that_is_not_there_is_named_without_its_password(tmp_path: Path) -> None:
    with pytest.raises(StorageFailed, match="can't be used") as failed:
        Depot.open(f"postgresql://me:secret@/x?host={tmp_path}")
    assert "secret" not in str(failed.value)


@pytest.mark.postgresql
def test_a_database_in_another_encoding_is_refused(postgresql_url: str) -> None:
    with psycopg.connect(postgresql_url, autocommit=True) as server:
        server.execute("create database wetend_latin encoding 'LATIN1' template template0")
    try:
        with pytest.raises(StorageFailed, match="UTF8"):
            Depot.open(make_url(postgresql_url).set(database="wetend_latin").render_as_string())
    finally:
        with psycopg.connect(postgresql_url, autocommit=True) as server:
            server.execute("drop database wetend_latin with (force)")


@pytest.mark.postgresql
def test_postgresql_by_url_needs_a_folder_for_photos(
    postgresql_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("WETEND_PHOTOS", raising=False)
    with Depot.open(postgresql_url) as depot, pytest.raises(StorageFailed, match="WETEND_PHOTOS"):
        depot.photos.put(tiny_png())
    with Depot.open(postgresql_url, photos=tmp_path / "shelf") as depot:
        assert depot.photos.put(tiny_png()).sha256 in depot.photos
