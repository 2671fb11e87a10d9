"""Files that commands write are whole or absent; what was there stays when the disk fails."""

from __future__ import annotations

import errno
import os
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.pump.toml import demo_pump, to_toml
from wetend.records import files

HISTORY = "pump,day,litres\nquay-air,2021-05-04,120\n"
TAPS = "\n".join(str(t) for t in (0, 1.3, 2.4, 3.7, 4.8, 6.1, 7.2, 8.5, 9.6))

WHY = {
    errno.ENOSPC: "the disk is full", errno.EROFS: "the disk is read-only",
    errno.EACCES: "you may not read or write there",
}  # fmt: skip
WRITERS = {
    "report.pdf": ("report", "last", "--to"),
    "order.csv": ("stores", "order", "--to"),
    "order.pdf": ("stores", "order", "--to"),
    "export.zip": ("export", "--replace"),
    "trace.svg": ("listen", "taps.txt", "--taps", "--first", "up", "--draw"),
    "motion.svg": ("simulate", "--svg"),
    "columns.json": ("import", "history.csv", "--keep", "--mapping"),
}


@pytest.fixture
def folder(say: Callable, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to write to, beside a depot with a pump and a visit."""
    (tmp_path / "pump.toml").write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(tmp_path / "pump.toml"))
    say("visit", "start", "quay-air")
    (tmp_path / "to").mkdir()
    (tmp_path / "taps.txt").write_text(TAPS)
    (tmp_path / "history.csv").write_text(HISTORY)
    monkeypatch.chdir(tmp_path)
    return tmp_path / "to"


def shut(reason: int) -> Callable[..., object]:
    """Refuses to begin a file."""

    def begin_file(*_: object) -> object:
        raise OSError(reason, os.strerror(reason))

    return begin_file


def full_disk(handle: int) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("reason", WHY)
@pytest.mark.parametrize("name", WRITERS)
def test_a_disk_that_takes_nothing_leaves_what_was_there(
    say: Callable, folder: Path, monkeypatch: pytest.MonkeyPatch, name: str, reason: int
) -> None:
    """Full it fails at the end; read-only, or shut to this person, at the beginning."""
    (folder / name).write_bytes(b"{}")
    if reason == errno.ENOSPC:
        monkeypatch.setattr(files.os, "fsync", full_disk)
    else:
        monkeypatch.setattr(files, "begin_file", shut(reason))
    said = say(*WRITERS[name], str(folder / name))
    assert said.code == 1
    assert said.err == f"wetend: {name} can't be written: {WHY[reason]}.\n"
    assert (folder / name).read_bytes() == b"{}"
    assert [f.name for f in folder.iterdir()] == [name]
    monkeypatch.undo()


@pytest.mark.parametrize("name", ["report.pdf", "export.zip", "order.csv", "columns.json"])
def test_a_file_is_replaced_in_one_go(
    say: Callable, folder: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """Seen by another program, the old one is there whole until the new one is."""
    (folder / name).write_bytes(b"{}")
    before = (folder / name).stat().st_ino
    assert say(*WRITERS[name], str(folder / name)).code == 0
    assert (folder / name).stat().st_ino != before
    assert len((folder / name).read_bytes()) > 2
    assert [f.name for f in folder.iterdir()] == [name]


def test_a_mapping_that_can_t_be_written_keeps_no_rows(
    say: Callable, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(files.os, "fsync", full_disk)
        say(*WRITERS["columns.json"], str(folder / "columns.json"))
    again = say("import", "history.csv", "--keep", "--json")
    assert again.json["kept"] == 1


@pytest.mark.parametrize("why", ["the disk is full", "rows can't be used"])
def test_rows_that_can_t_be_kept_leave_the_mapping_as_it_was(
    say: Callable, folder: Path, monkeypatch: pytest.MonkeyPatch, why: str
) -> None:
    (folder / "columns.json").write_bytes(b"{}")
    if why == "the disk is full":
        monkeypatch.setattr("wetend.records.store._keep", refused)
    else:
        Path("history.csv").write_text(HISTORY + "quay-air,never,7\n")
    said = say(*WRITERS["columns.json"], str(folder / "columns.json"))
    assert why in said.err
    assert (folder / "columns.json").read_bytes() == b"{}"
    assert [f.name for f in folder.iterdir()] == ["columns.json"]


@pytest.mark.parametrize("held", ["[" * 100_000, "{", "[1]", '{"day": 1}', "9" * 5000, "\x00"])
def test_a_mapping_that_is_none_is_refused_in_a_sentence(
    say: Callable, folder: Path, held: str
) -> None:
    (folder / "columns.json").write_text(held)
    said = say(*WRITERS["columns.json"], str(folder / "columns.json"))
    assert said.code == 2
    assert said.err.endswith("is not a mapping saved by this command.\n")
    assert said.err.count("\n") == 1
    assert (folder / "columns.json").read_text() == held


def refused(*_: object) -> None:
    raise sqlite3.OperationalError("database or disk is full")


def test_a_depot_that_may_not_be_written_says_so_once(
    say: Callable, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("wetend.records.opening._closed", lambda _: True)
    said = say("visit", "note", "last", "more")
    assert said.code == 1
    assert said.err.count("may not be written") == said.err.count("\n") == 1
    read = say("pump", "list")
    assert read.code == 0
    assert read.err.count("may not be written") == 1


def test_an_export_is_its_owner_s_alone(say: Callable, folder: Path) -> None:
    """All of the depot is in it; a report is made to be handed on."""
    say("export", str(folder / "all.zip"))
    assert (folder / "all.zip").stat().st_mode & 0o077 == 0
    refused = say("export", str(folder / "all.zip"))
    assert refused.code == 2
    assert "--replace" in refused.err


@pytest.mark.parametrize("name", ["report.pdf", "export.zip"])
def test_a_device_is_not_taken_for_a_file(say: Callable, folder: Path, name: str) -> None:
    os.mkfifo(folder / "pipe")
    said = say(*WRITERS[name], str(folder / "pipe"))
    assert said.code == 2
    assert "can't be written; name another file" in said.err


def test_output_that_can_t_be_shown_ends_in_one_line() -> None:
    """/dev/full refuses every write, as a full disk does."""
    with Path("/dev/full").open("w") as full:
        ran = subprocess.run(
            [sys.executable, "-m", "wetend", "calc", "--list"], stdout=full,
            stderr=subprocess.PIPE, text=True, check=False,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        )  # fmt: skip
    assert (ran.returncode, ran.stderr) == (
        1,
        "wetend: The output can't be used: the disk is full.\n",
    )
