"""Damage is seen, named and left out; the rest is shown, and nothing shuts the depot."""

from __future__ import annotations

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import text

from wetend.cli.app import run
from wetend.errors import NotFound, StorageFailed
from wetend.pump.readings import Note
from wetend.records import integrity
from wetend.records.entries import Entry, new_entry
from wetend.records.fold import fold_visit
from wetend.records.health_check import examine
from wetend.records.integrity import State
from wetend.records.store import Depot

COUNT = 300


def note(said: str) -> Entry:
    return new_entry("note", Note(text=said), pump="quay-air")


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[Entry]]:
    """A depot of a few hundred entries, long ones among them, and what it holds."""
    path = tmp_path_factory.mktemp("sound") / "d.sqlite3"
    made = [note(f"number {n} " + "long " * (n % 7 * 120)) for n in range(COUNT)]
    with Depot.open(path) as depot:
        for start in range(0, COUNT, 50):
            depot.append(*made[start : start + 50])
    return path, made


@pytest.fixture
def copy(sound: tuple[Path, list[Entry]], tmp_path: Path) -> Path:
    """A copy to spoil."""
    shutil.copy(sound[0], tmp_path / "d.sqlite3")
    return tmp_path / "d.sqlite3"


def spoil(path: Path, at: int, data: bytes) -> None:
    with path.open("r+b") as file:
        file.seek(at)
        file.write(data)


def page_of(path: Path, entry: Entry) -> int:
    """Where the page begins that an entry's row stands on."""
    return path.read_bytes().index(f"{entry.id}note".encode()) // 4096 * 4096


def test_one_spoilt_text_leaves_one_entry_out(copy: Path, sound: tuple[Path, list[Entry]]) -> None:
    """And the depot goes on being written to."""
    made = sound[1]
    spoil(copy, copy.read_bytes().index(b"number 78 ") + 2, b"\xffX\x00")
    with Depot.open(copy) as depot:
        assert depot.entries() == [e for e in made if e is not made[78]]
        (notice,) = depot.notices
        assert notice == (
            f"1 entry is damaged and left out: note of quay-air, {made[78].at:%Y-%m-%d} "
            f"({made[78].id[-6:]}). `wetend doctor` shows what to do."
        )
        depot.append(more := note("more"))
        assert depot.entries()[-1] == more
        found = examine(depot)
    assert (found.file, found.entries, found.missing) == (State.SOUND, COUNT, 0)
    assert [d.id for d in found.damaged] == [made[78].id]


def test_a_spoilt_index_hides_no_entry(copy: Path, sound: tuple[Path, list[Entry]]) -> None:
    """A key in the index of pumps is another's now: asked by pump, the entry is found anyway."""
    made = sound[1]
    data = copy.read_bytes()
    at = data.index(f"quay-air{made[9].id}".encode())
    spoil(copy, at, b"quay-ais")
    with closing(sqlite3.connect(copy)) as raw:
        through_index = raw.execute("select count(*) from entries where pump = 'quay-air'")
        assert through_index.fetchone()[0] < COUNT, "spoilt as meant"
    with Depot.open(copy) as depot:
        assert any("index" in sentence for sentence in depot.notices)
        assert depot.entries(pump="quay-air") == made
        assert depot.latest(kinds=("note",)) == made[-1].id
        assert depot.state(kinds=("note",)) == (COUNT, made[-1].id)
        depot.append(more := note("more"))
        assert depot.entries(pump="quay-air") == [*made, more]
        assert examine(depot).file is State.INDEXES


@pytest.mark.parametrize("what", ["flag", "pointers", "zeroed"])
def test_a_spoilt_page_is_read_around(
    copy: Path, sound: tuple[Path, list[Entry]], what: str
) -> None:
    made = sound[1]
    page = page_of(copy, made[200])
    spoil(
        copy,
        page,
        {"flag": b"\x00", "pointers": b"\x0d\xff\xff\xff\xff", "zeroed": bytes(4096)}[what],
    )
    with Depot.open(copy) as depot:
        entries = depot.entries()
        lost = {e.id for e in made} - {e.id for e in entries}
        assert "damaged" in depot.notices[0]
        assert "`wetend doctor --mend`" in depot.notices[0]
        if what == "zeroed":
            assert made[200].id in lost
            assert f"{len(entries)} entries could be read, {len(lost)} could not." in depot.notices
        else:
            assert not lost, "what the page held is still there"
        assert {d.id for d in depot.damaged} == lost, "named, though nothing is left of them"
        assert all(d.pump == "quay-air" and d.kind == "note" for d in depot.damaged)
        assert set(entries) <= set(made)
        with pytest.raises(StorageFailed, match="nothing is written"):
            depot.append(note("more"))
        found = examine(depot)
    assert (found.file, found.entries, found.missing) == (State.BROKEN, len(entries), 0)


@pytest.mark.parametrize("at", [0, 18, 100, 4])
def test_a_spoilt_first_page_loses_nothing(
    copy: Path, sound: tuple[Path, list[Entry]], at: int
) -> None:
    """Header, or the page that says where the tables are."""
    spoil(copy, at, b"\xa5" * 60)
    with Depot.open(copy, create=False) as depot:
        assert depot.entries() == sound[1]
        assert f"All {COUNT} entries could be read." in depot.notices


@pytest.mark.parametrize("version", ["9", "x", "0001"])
def test_a_spoilt_schema_number_shuts_nothing(
    copy: Path, sound: tuple[Path, list[Entry]], version: str
) -> None:
    with closing(sqlite3.connect(copy)) as raw, raw:
        raw.execute("update alembic_version set version_num = ?", [version])
    with Depot.open(copy) as depot:
        assert depot.entries() == sound[1]
        assert depot.notices


def test_damage_that_comes_while_open_is_read_around(
    copy: Path, sound: tuple[Path, list[Entry]]
) -> None:
    with Depot.open(copy) as depot:
        page = page_of(copy, sound[1][200])
        depot._engine.dispose()  # what it holds in memory would hide the damage for a while
        spoil(copy, page, b"\x00")
        assert depot.entries() == sound[1]
        assert "damaged" in depot.notices[0]


def test_an_entry_gone_without_a_trace_is_missed(depot: Depot) -> None:
    depot.append(*(note(f"{n}") for n in range(3)))
    with depot._writer.begin() as connection:
        connection.execute(text("delete from entries where id = (select min(id) from entries)"))
    assert depot.notices == ()
    found = examine(depot)
    assert (found.entries, found.missing, found.whole) == (2, 1, False)
    assert depot.notices == (
        "1 entry is missing that was saved here. `wetend doctor` shows what to do.",
    )


def test_a_damaged_count_is_not_taken_for_lost_entries(depot: Depot) -> None:
    depot.append(note("here"))
    with depot._writer.begin() as connection:
        connection.execute(text("update about set value = '9 00' where name = 'tally'"))
    found = examine(depot)
    assert (found.missing, found.counted, found.whole) == (None, False, False)


def test_a_visit_without_its_start_says_why(depot: Depot, fill: Callable[[Depot], str]) -> None:
    visit = fill(depot)
    with depot._writer.begin() as connection:
        connection.execute(text("update entries set who = 'x' where kind = 'visit-started'"))
    with pytest.raises(NotFound, match=r"start is damaged.*doctor"):
        fold_visit(depot.visit_entries(visit))


@pytest.mark.parametrize("seed", range(40))
def test_wherever_bytes_are_spoilt_nothing_false_is_shown(
    copy: Path, sound: tuple[Path, list[Entry]], seed: int
) -> None:
    """What is read is what was written, and what is not read is said to be missing."""
    chance = random.Random(seed)
    length = chance.choice([1, 8, 64, 512])
    spoil(copy, chance.randrange(copy.stat().st_size - length), chance.randbytes(length))
    with Depot.open(copy, create=False) as depot:
        read = depot.entries()
        by_pump = depot.entries(pump="quay-air")
        notices = depot.notices
        found = examine(depot)
    assert set(read) <= set(sound[1])
    assert by_pump == read
    if len(read) < COUNT:
        assert notices
        assert not found.whole


KILLED = """
import os, signal, sys
from wetend.pump.readings import Note
from wetend.records.entries import new_entry
from wetend.records.store import Depot
depot = Depot.open(sys.argv[1])
for n in range(30):
    entry = new_entry("note", Note(text=f"{n} " + "late " * 100), pump="quay-air")
    depot.append(entry)
    print(entry.id)
sys.stdout.flush()
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.fixture
def killed(tmp_path: Path) -> tuple[Path, list[str]]:
    """A depot whose last entries stand in its log alone, and the ids acknowledged."""
    path = tmp_path / "killed.sqlite3"
    Depot.open(path).close()
    ran = subprocess.run(
        [sys.executable, "-c", KILLED, str(path)], capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert ran.returncode == -signal.SIGKILL
    return path, ran.stdout.split()


def test_a_sound_log_is_taken_as_it_is(killed: tuple[Path, list[str]]) -> None:
    path, ids = killed
    with Depot.open(path) as depot:
        assert [e.id for e in depot.entries()] == ids
        assert depot.notices == ()
    assert [p.name for p in path.parent.iterdir() if "damaged" in p.name] == []


@pytest.mark.parametrize("where", [0.0, 0.3, 0.7, 0.999])
def test_a_damaged_log_is_seen_and_kept(killed: tuple[Path, list[str]], where: float) -> None:
    """SQLite itself says nothing, and forgets all that was committed after the damage."""
    path, ids = killed
    log = path.with_name(f"{path.name}-wal")
    at = min(int(log.stat().st_size * where), log.stat().st_size - 20)
    spoil(log, at, b"\xa5" * 16)
    with Depot.open(path) as depot:
        assert len(depot.entries()) < len(ids), "SQLite passed over the rest"
        assert any("log was damaged" in sentence for sentence in depot.notices)
        assert len(examine(depot).damaged_logs) == 1
    with Depot.open(path) as depot:
        assert any("log was damaged" in sentence for sentence in depot.notices), "until mended"


CUT_OFF = """
import os, shutil, signal, sys
from wetend.pump.readings import Note
from wetend.records.entries import new_entry
from wetend.records.store import Depot
path = sys.argv[1]
depot = Depot.open(path)
for n in range(12):
    shutil.copyfile(path + "-shm", path + "-before")  # as it stands while the next is written
    entry = new_entry("note", Note(text=f"{n} " + "late " * 100), pump="quay-air")
    depot.append(entry)
    print(entry.id)
sys.stdout.flush()
os.kill(os.getpid(), signal.SIGKILL)
"""
FRAME = 24 + 4096


@pytest.fixture
def cut_off(tmp_path: Path) -> tuple[Path, list[str]]:
    """A depot killed between the head and the page of its last write's last frame.

    The log's index is the one from before that write; and the ids acknowledged before.
    """
    path = tmp_path / "killed.sqlite3"
    Depot.open(path).close()
    ran = subprocess.run(
        [sys.executable, "-c", CUT_OFF, str(path)], capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert ran.returncode == -signal.SIGKILL
    Path(f"{path}-before").replace(f"{path}-shm")
    log = Path(f"{path}-wal")
    spoil(log, log.stat().st_size - 4096, b"\x00" * 4096)
    return path, ran.stdout.split()[:-1]


def asides(path: Path) -> list[str]:
    return [p.name for p in path.parent.iterdir() if "damaged" in p.name]


def test_a_write_cut_off_is_no_damage(cut_off: tuple[Path, list[str]]) -> None:
    """Told once, for what it is: nobody had been told that it was kept."""
    path, ids = cut_off
    with Depot.open(path) as depot:
        assert [e.id for e in depot.entries()] == ids
        assert depot.notices == ()
        assert len(depot.remarks) == 1
        assert "had not been confirmed to anybody" in depot.remarks[0]
        found = examine(depot)
        assert found.whole
        assert found.remarks == depot.remarks
        fresh = new_entry("note", Note(text="sent again"), pump="quay-air")
        depot.append(fresh)
    assert asides(path) == []
    with Depot.open(path) as depot:
        assert [e.id for e in depot.entries()] == [*ids, fresh.id]
        assert depot.remarks == depot.notices == ()


def test_a_write_cut_off_is_told_by_the_first_command(
    cut_off: tuple[Path, list[str]], capsys: pytest.CaptureFixture[str]
) -> None:
    path, _ = cut_off
    for times in (1, 0):
        assert run(["--depot", str(path), "visit", "list"]) == 0
        assert capsys.readouterr().err.count("stopped half-way through its last write") == times


@pytest.mark.parametrize("how", ["spoilt further up", "gone", "of another log", "older", "torn"])
def test_what_the_index_does_not_vouch_for_is_damage(
    cut_off: tuple[Path, list[str]], how: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Frames that were committed are missing, or nothing tells how many there were."""
    path, ids = cut_off
    log, index = Path(f"{path}-wal"), Path(f"{path}-shm")
    if how == "spoilt further up":
        spoil(log, 32 + 2 * FRAME + 100, b"\xa5" * 16)
    elif how == "gone":
        index.unlink()
    elif how == "of another log":
        spoil(index, 32, bytes(8))
    elif how == "torn":
        spoil(index, 16, b"\x01")
    else:  # the machine was started after it was written
        monkeypatch.setattr(integrity.time, "monotonic", lambda: -3600.0)
    with Depot.open(path) as depot:
        assert len(depot.entries()) <= len(ids)
        assert any("log was damaged" in sentence for sentence in depot.notices)
        assert depot.remarks == ()
    assert len(asides(path)) == 1
