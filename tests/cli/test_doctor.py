"""``wetend doctor``, and what other commands say of damage."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from wetend.pump.toml import demo_pump, to_toml


@pytest.fixture
def damaged(say: Callable, tmp_path: Path) -> Path:
    """A depot with one damaged entry of four, and a backup from before."""
    (tmp_path / "pump.toml").write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(tmp_path / "pump.toml"))
    say("visit", "start", "quay-air", "--reason", "quick on the way down")
    say("visit", "note", "last", "bucket was warm")
    say("complaint", "last", "said=drops")
    say("backup", str(tmp_path / "saved.zip"))
    with closing(sqlite3.connect(tmp_path / "depot.sqlite3")) as raw, raw:
        raw.execute("update entries set payload = '{\"text\":\"x\"}' where kind = 'note'")
    return tmp_path


def test_a_sound_depot_is_called_sound(say: Callable) -> None:
    said = say("doctor")
    assert (said.code, said.err) == (0, "")
    assert "No damage found." in said.out


def test_damage_is_named_and_ends_with_one(say: Callable, damaged: Path) -> None:
    said = say("doctor")
    assert said.code == 1
    assert "damaged: note of quay-air" in said.out
    assert "--from BACKUP" in said.out
    found = say("doctor", "--json").json
    assert (found["file"], found["entries"], found["missing"]) == ("sound", 3, 0)
    assert [(d["kind"], d["pump"]) for d in found["damaged"]] == [("note", "quay-air")]


def test_other_commands_go_on_and_say_so(say: Callable, damaged: Path) -> None:
    said = say("visit", "show", "last", "--json")
    assert said.code == 0
    assert [e["kind"] for e in said.json["entries"]] == ["visit-started", "complaint"]
    assert said.err.startswith("wetend: 1 entry is damaged and left out: note of quay-air, ")
    assert say("visit", "note", "last", "still writes").code == 0


def test_a_backup_says_what_it_leaves_out(say: Callable, damaged: Path) -> None:
    """A night's job that keeps its latest backups must notice."""
    said = say("backup", str(damaged / "later.zip"))
    assert said.code == 1
    assert "3 entries" in said.out.replace("\n", "").replace("  ", " ")
    assert "1 entry is damaged" in said.err
    assert say("restore", str(damaged / "later.zip")).code == 0
    told = say("backup", str(damaged / "again.zip"), "--json")
    assert told.code == 1
    assert [d["kind"] for d in told.json["damaged"]] == ["note"]


def test_it_is_mended_from_the_backup(say: Callable, damaged: Path) -> None:
    said = say("doctor", "--from", str(damaged / "saved.zip"))
    assert said.code == 0
    assert "Recovered from the backup: 1 entry" in said.out
    assert "No damage found." in said.out
    assert say("doctor").code == 0
    kinds = [e["kind"] for e in say("visit", "show", "last", "--json").json["entries"]]
    assert kinds == ["visit-started", "note", "complaint"]


def test_it_is_mended_without(say: Callable, damaged: Path) -> None:
    said = say("doctor", "--mend")
    assert said.code == 0
    assert "dropped: note of quay-air" in said.out
    assert "kept as" in said.out
    again = say("doctor", "--mend", "--json").json
    assert again["after"]["entries"] == 3
    assert say("visit", "list").err == ""


@pytest.mark.parametrize(
    "words", [("doctor",), ("doctor", "--mend"), ("doctor", "--from", "x.zip")]
)
def test_no_depot_is_made_to_be_mended(
    say: Callable, tmp_path: Path, words: tuple[str, ...]
) -> None:
    said = say("--depot", str(tmp_path / "none.sqlite3"), *words)
    assert said.code == 2
    assert "There is no depot" in said.err
    assert not (tmp_path / "none.sqlite3").exists()


def test_others_may_not_read_it(say: Callable, tmp_path: Path) -> None:
    (tmp_path / "depot.sqlite3").chmod(0o644)
    said = say("doctor")
    assert said.code == 1
    assert f"others may read: {tmp_path / 'depot.sqlite3'}" in " ".join(said.out.split())
    assert say("doctor", "--mend").code == 0
    assert (tmp_path / "depot.sqlite3").stat().st_mode & 0o777 == 0o600
