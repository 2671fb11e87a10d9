"""A damaged depot is mended whole or not at all: from a backup, from its log, or without."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from wetend.errors import BadInput, NotFound, StorageFailed
from wetend.pump.readings import Note
from wetend.records import repair
from wetend.records.backup import back_up
from wetend.records.entries import Entry, new_entry
from wetend.records.files import atomic_file
from wetend.records.health_check import examine
from wetend.records.photos import PhotoShelf
from wetend.records.repair import mend
from wetend.records.store import DEMO, Depot

Fill = Callable[[Depot], str]


def note(said: str) -> Entry:
    return new_entry("note", Note(text=said), pump="quay-air")


@pytest.fixture
def filled(depot_place: str, fill: Fill, tmp_path: Path) -> tuple[str, list[Entry], Path]:
    """A depot on each database, what it holds, and a backup of all but the last entry."""
    with Depot.open(depot_place) as depot:
        fill(depot)
        depot.append(*(note(f"{n} " + "word " * 300) for n in range(30)))
        back_up(depot, tmp_path / "saved.zip")
        depot.append(note("after the backup"))
        return depot_place, depot.entries(), tmp_path / "saved.zip"


def spoil(place: str, column: str, kind: str) -> None:
    with Depot.open(place) as depot, depot._writer.begin() as connection:
        connection.execute(
            text(f"update entries set {column} = 'spoilt' where kind = :kind"), {"kind": kind}
        )


def content(place: str) -> list[Entry]:
    with Depot.open(place) as depot:
        return depot.entries()


def test_damaged_entries_come_back_from_a_backup(filled: tuple[str, list[Entry], Path]) -> None:
    place, made, saved = filled
    spoil(place, "who", "complaint")
    spoil(place, "payload", "visit-started")
    done = mend(place, backup=saved)
    assert content(place) == made
    assert (len(done.before.damaged), done.left_out, done.lost) == (2, (), 0)
    assert done.after.sound


def test_without_a_backup_what_is_damaged_is_left_out(
    filled: tuple[str, list[Entry], Path],
) -> None:
    """And later brought back, when one is found."""
    place, made, saved = filled
    spoil(place, "who", "complaint")
    done = mend(place)
    assert [(d.kind, d.pump) for d in done.left_out] == [("complaint", "quay-air")]
    assert content(place) == [e for e in made if e.kind != "complaint"]
    assert done.after.sound, "left out, it is no longer counted"
    mend(place, backup=saved)
    assert content(place) == made


def test_an_entry_gone_without_a_trace_comes_back(filled: tuple[str, list[Entry], Path]) -> None:
    place, made, saved = filled
    with Depot.open(place) as depot, depot._writer.begin() as connection:
        connection.execute(text("delete from entries where kind = 'complaint'"))
    done = mend(place)
    assert (done.before.missing, done.lost) == (1, 1)
    assert done.after.sound
    assert mend(place, backup=saved).after.entries == len(made)


def test_mending_what_is_sound_changes_nothing(filled: tuple[str, list[Entry], Path]) -> None:
    place, made, _ = filled
    for _ in range(2):
        done = mend(place)
        assert (done.before.sound, done.after.sound, done.put_aside) == (True, True, "")
        assert content(place) == made


def test_photos_come_back_from_a_backup_or_are_put_aside(
    filled: tuple[str, list[Entry], Path],
) -> None:
    place, _, saved = filled
    with Depot.open(place) as depot:
        one, other = depot.photos.hashes()
        depot.photos.path_of(one, "image/png").write_bytes(b"spoilt")
        depot.photos.path_of(other, "image/png").unlink()
        found = examine(depot)
    assert (found.damaged_photos, found.missing_photos) == ((one,), (other,))
    left = mend(place)
    assert (left.after.damaged_photos, set(left.after.missing_photos)) == ((), {one, other})
    back = mend(place, backup=saved)
    assert back.after.sound
    with Depot.open(place) as depot:
        assert set(depot.photos.hashes()) == {one, other}


@pytest.fixture
def sqlite_depot(tmp_path: Path, fill: Fill) -> tuple[Path, list[Entry], Path]:
    """A demo-marked SQLite depot with a form noted, what it holds, and a backup."""
    place = tmp_path / "d.sqlite3"
    with Depot.open(place, purpose=DEMO) as depot:
        fill(depot)
        depot.append(*(note(f"{n} " + "word " * 300) for n in range(40)), act="form-1")
        depot.note_done("pass:1")
        depot.secret()
        back_up(depot, tmp_path / "saved.zip")
        return place, depot.entries(), tmp_path / "saved.zip"


def break_page(place: Path, entry: Entry) -> None:
    data = bytearray(place.read_bytes())
    page = data.index(f"{entry.id}note".encode()) // 4096 * 4096
    data[page : page + 4096] = bytes(4096)
    place.write_bytes(data)


def test_a_broken_file_is_written_anew(sqlite_depot: tuple[Path, list[Entry], Path]) -> None:
    place, made, saved = sqlite_depot
    with Depot.open(place) as depot:
        secret = depot.secret()
    break_page(place, made[30])
    spoilt = place.read_bytes()
    done = mend(place)
    assert made[30].id in {d.id for d in done.left_out}
    assert Path(done.put_aside).read_bytes()[100:] == spoilt[100:]  # but for the log folded in
    assert Path(done.put_aside).stat().st_mode & 0o077 == 0
    assert place.stat().st_mode & 0o077 == 0
    with Depot.open(place) as depot:
        assert depot.purpose == DEMO
        assert depot.secret() == secret
        assert depot.noted("pass:") == ["1"]
        assert depot.append(note("again"), act="form-1") is not None, "the form is still known"
        depot.append(note("goes on"))
    assert mend(place, backup=saved).after.entries == len(made) + 1


def test_a_broken_file_comes_back_whole_from_a_backup(
    sqlite_depot: tuple[Path, list[Entry], Path],
) -> None:
    place, made, saved = sqlite_depot
    break_page(place, made[30])
    done = mend(place, backup=saved)
    assert (done.left_out, done.lost, done.after.sound) == ((), 0, True)
    assert content(str(place)) == made


@pytest.mark.parametrize("at", [0, 100])
def test_even_the_first_page_may_be_lost(
    sqlite_depot: tuple[Path, list[Entry], Path], at: int
) -> None:
    place, made, _ = sqlite_depot
    with place.open("r+b") as file:
        file.seek(at)
        file.write(b"\xa5" * 400)
    assert mend(place).after.sound
    assert content(str(place)) == made


def test_nothing_is_mended_under_another_s_hands(
    sqlite_depot: tuple[Path, list[Entry], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A server that has the depot open could else write to the file put aside."""
    monkeypatch.setattr(repair, "_WAIT_SECONDS", 0.05)
    place, made, _ = sqlite_depot
    with closing(sqlite3.connect(place)) as other:
        other.execute("select count(*) from entries").fetchone()
        spoil(str(place), "who", "complaint")
        with pytest.raises(StorageFailed, match="in use; stop the server"):
            mend(place)
        other.execute("select 1")
    assert len(content(str(place))) == len(made) - 1


def test_a_full_disk_leaves_the_damaged_file_as_it_is(
    sqlite_depot: tuple[Path, list[Entry], Path], largest_file: Callable
) -> None:
    place, made, _ = sqlite_depot
    break_page(place, made[30])
    before = place.read_bytes()
    with largest_file(20_000), pytest.raises(StorageFailed):
        mend(place)
    assert place.read_bytes() == before
    assert sorted(p.name for p in place.parent.iterdir() if "part" in p.name) == []


@pytest.mark.parametrize("backup", ["none.zip", "letter.zip"])
def test_a_backup_that_can_t_be_used_changes_nothing(
    sqlite_depot: tuple[Path, list[Entry], Path], backup: str
) -> None:
    place, made, saved = sqlite_depot
    (saved.parent / "letter.zip").write_text("Dear crew")
    break_page(place, made[30])
    before = place.read_bytes()
    with pytest.raises((NotFound, BadInput)):
        mend(place, backup=saved.parent / backup)
    assert place.read_bytes()[100:] == before[100:]  # but for the log folded in
    assert sorted(p.name for p in place.parent.iterdir() if ".damaged" in p.name) == []


def test_what_others_could_read_is_shut_to_them(
    sqlite_depot: tuple[Path, list[Entry], Path],
) -> None:
    place, _, _ = sqlite_depot
    shelf = place.with_suffix(".photos")
    for path in (place, shelf, *shelf.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    with Depot.open(place) as depot:
        found = examine(depot)
    assert (found.whole, found.sound) == (True, False)
    assert str(place) in found.open_to_others
    done = mend(place)
    assert (done.tightened, done.after.sound) == (len(found.open_to_others), True)
    assert shelf.stat().st_mode & 0o777 == 0o700


def test_leftovers_are_swept(sqlite_depot: tuple[Path, list[Entry], Path]) -> None:
    place, _, _ = sqlite_depot
    folder = next(place.with_suffix(".photos").glob("??"))
    for left in (place.parent, folder):
        (left / f".wetend-{'0' * 16}.part").write_bytes(b"half")
    assert mend(place).swept == 2


def test_a_damaged_log_gives_back_what_it_holds(
    tmp_path: Path, sqlite_depot: tuple[Path, list[Entry], Path]
) -> None:
    place, made, _ = sqlite_depot
    late = [note(f"late {n} " + "word " * 100) for n in range(30)]
    log = place.with_name(f"{place.name}-wal")
    with Depot.open(place) as depot:
        for entry in late:
            depot.append(entry)
        data, main = bytearray(log.read_bytes()), place.read_bytes()
    data[len(data) // 2 : len(data) // 2 + 64] = os.urandom(64)
    place.write_bytes(main)
    log.write_bytes(data)
    assert len(content(str(place))) < len(made) + len(late)
    done = mend(place)
    assert done.from_logs > 0
    assert done.after.sound
    assert content(str(place)) == [*made, *late]
    assert mend(place).from_logs == 0


def test_a_write_under_way_beside_it_is_left_alone(
    sqlite_depot: tuple[Path, list[Entry], Path],
) -> None:
    place, _, _ = sqlite_depot
    with atomic_file(place.parent / "report.pdf") as file:
        mend(place)
        file.write(b"whole")
    assert (place.parent / "report.pdf").read_bytes() == b"whole"


def test_a_photo_s_file_put_aside_is_no_photo(
    tmp_path: Path, picture: Callable[[str], bytes]
) -> None:
    shelf = PhotoShelf(tmp_path)
    sha = shelf.put(picture("red")).sha256
    shelf.put_aside(sha)
    assert sha not in shelf
    assert list(shelf.hashes()) == []
