"""A disk that takes no more leaves what was there, and nothing half made.

`benchmarks/full_disk.py` fills a real one at every write.
"""

from __future__ import annotations

import errno
import os
import sqlite3
from collections import namedtuple
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from restoring import restore
from sqlalchemy import event

from wetend.errors import StorageFailed
from wetend.pump.readings import Note, VisitStart
from wetend.pump.toml import demo_pump
from wetend.records import engine as engines
from wetend.records import new_database
from wetend.records.engine import DepotDamaged, locate, plainly
from wetend.records.entries import new_entry
from wetend.records.store import Depot
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

Usage = namedtuple("Usage", "total used free")


def no_room(*_: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def full(*_: object, **__: object) -> None:
    raise sqlite3.OperationalError("database or disk is full")


def fill_at_next_commit(depot: Depot) -> None:
    """Have the next commit fail, and those after it succeed."""
    left = [full]
    event.listen(depot._engine, "commit", lambda _: left.pop()() if left else None)


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.rglob("*") if p.is_file())


@pytest.mark.parametrize("fails", ["fsync", "migrating"])
def test_a_depot_that_can_t_be_made_leaves_no_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails: str
) -> None:
    with monkeypatch.context() as patch:
        if fails == "fsync":
            patch.setattr(new_database.os, "fsync", no_room)
        else:
            patch.setattr("wetend.records.opening.migrate", full)
        with pytest.raises(StorageFailed, match="the disk is full"):
            Depot.open(tmp_path / "d.sqlite3")
        assert names(tmp_path) == []
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        assert depot.entries() == []


def test_a_depot_made_twice_at_once_is_the_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, finish = new_entry("note", Note(text="first"), pump="p"), new_database.finish

    def meanwhile(part: Path, meant: object) -> None:
        finish(part, meant)
        monkeypatch.undo()
        with Depot.open(tmp_path / "d.sqlite3") as other:
            other.append(made)

    monkeypatch.setattr("wetend.records.opening.finish", meanwhile)
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        assert depot.entries() == [made]
    assert names(tmp_path) == ["d.sqlite3"]


def test_a_file_whose_log_can_t_be_folded_in_is_not_taken_for_whole(tmp_path: Path) -> None:
    """SQLite closes such a file without a word, the rest of it left in the log."""
    meant = locate(tmp_path / "d.sqlite3")
    with new_database.under_way(tmp_path) as part:
        with new_database.filling(part, meant) as engine, engine.begin() as connection:
            connection.exec_driver_sql("create table a (x)")
        new_database.finish(part, meant)
        with closing(sqlite3.connect(part, isolation_level=None)) as reading:
            reading.execute("begin")
            reading.execute("select * from a").fetchall()
            with new_database.filling(part, meant) as engine, engine.begin() as connection:
                connection.exec_driver_sql("insert into a values (1)")
            with pytest.raises(StorageFailed, match=r"d\.sqlite3"):
                new_database.finish(part, meant)
    assert names(tmp_path) == []


def test_a_photo_goes_with_the_entry_that_could_not_be_kept(
    tmp_path: Path, picture: Callable[[str], bytes]
) -> None:
    """One that another entry speaks of stays."""
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        pumps.describe(Desk(depot), demo_pump("quay-air"))
        visit = visits.start(Desk(depot), VisitStart(pump="quay-air"))
        there = visits.add_photo(Desk(depot), visit, picture("red"))
        for colour in ("blue", "red"):
            fill_at_next_commit(depot)
            with pytest.raises(StorageFailed, match="the disk is full"):
                visits.add_photo(Desk(depot), visit, picture(colour))
        assert list(depot.photos.hashes()) == [there.sha256]
        assert names(tmp_path / "d.photos") == [f"{there.sha256}.png"]
        again = visits.add_photo(Desk(depot), visit, picture("blue"))
        assert set(depot.photos.hashes()) == {there.sha256, again.sha256}


def test_photos_of_a_restore_that_failed_are_taken_away(
    tmp_path: Path, saved: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Depot.open(tmp_path / "new.sqlite3") as depot:
        fill_at_next_commit(depot)
        with monkeypatch.context() as patch:
            patch.setattr(Depot, "open", lambda *_, **__: depot)
            with pytest.raises(StorageFailed, match="the disk is full"):
                restore(saved, tmp_path / "new.sqlite3")
        assert list(depot.photos.hashes()) == []
    assert restore(saved, tmp_path / "new.sqlite3").new_photos == 2


@pytest.mark.parametrize(("free", "damaged"), [(0, False), (10**9, True)])
def test_a_log_without_room_is_a_full_disk_and_no_damage(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, free: int, damaged: bool
) -> None:
    """SQLite calls it a disk I/O error; a server would read around it and write no more."""
    monkeypatch.setattr(engines.shutil, "disk_usage", lambda _: Usage(10**9, 10**9 - free, free))
    with pytest.raises(StorageFailed) as told, plainly(locate(tmp_path / "d.sqlite3")):
        raise sqlite3.OperationalError("disk I/O error")
    assert isinstance(told.value, DepotDamaged) is damaged
    assert ("the disk is full" in str(told.value)) is not damaged
