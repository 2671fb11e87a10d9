"""Every command answers in JSON: one document of UTF-8 on standard output and nothing else."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from command_tree import Node, commands

from wetend.pump.toml import demo_pump, to_toml

WITHOUT = {
    ("serve",): "serves pages until it is stopped",
    ("demo",): "serves pages until it is stopped",
}
"""Commands without --json, with the reason."""
ALL = list(commands())


@pytest.mark.parametrize("node", ALL, ids=lambda node: node.path)
def test_every_command_has_json_or_a_reason(node: Node) -> None:
    options = {name for param in node.command.params for name in param.opts}
    assert ("--json" in options) != (node.words in WITHOUT)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the depot of :func:`begun` is kept once it is made."""
    return tmp_path_factory.mktemp("begun") / "depot.sqlite3"


@pytest.fixture
def begun(say: Callable, tmp_path: Path, made: Path) -> None:
    """A depot with a pump called by an odd name, and a visit to it."""
    depot = tmp_path / "depot.sqlite3"
    if made.exists():
        shutil.copy(made, depot)
        return
    described = tmp_path / "Pumpe für Köln.toml"
    text = to_toml(demo_pump("quay-air")).replace('name = "Quay"', 'name = "Kölner Pumpe ½″"')
    described.write_text(text, encoding="utf-8")
    assert say("pump", "describe", str(described), "--json").json["name"] == "Kölner Pumpe ½″"
    assert say("visit", "start", "quay-air", "--reason", "quick on the way down").code == 0
    assert say("coating", "last", "alkyd-topcoat").code == 0
    shutil.copy(depot, made)


@pytest.mark.parametrize(
    "words",
    [
        "pump list", "pump show quay-air", "pump toml quay-air", "pump example", "pump schema",
        "pump record quay-air", "visit list", "visit show last", "visit record last",
        "visit note last weeps", "site last", "complaint last", "make-safe last",
        "ran last why=flushed", "coating last", "mixed last", "checks last",
        "checks last --how all",
        "strip last", "inspect last", "rebuild last", "fitted last", "prove last", "handover last",
        "care last", "life show quay-air", "stores list", "stores order", "stores items",
        "stores items-out", "stores box last", "fleet month", "injection last", "incident",
        "calc --list", "calc seat-contact ball_diameter=22mm half_angle=45deg", "depot where",
        "memory", "questions", "today", "today --find quay",
        "simulate --list", "fault air", "find-fault --schema",
        "life used quay-air first=2025-05-01 last=2025-05-31 cycles=1200",
        "life fitted quay-air part=foot-ball on=2025-05-04",
        "life nozzle quay-air volume=1.5L time=60s pressure=200bar on=2025-05-04",
    ],
)  # fmt: skip
@pytest.mark.usefixtures("begun")
def test_the_answer_is_json_and_nothing_else(say: Callable, words: str) -> None:
    said = say(*words.split(), "--json")
    assert (said.code, said.err) == (0, "")
    json.loads(said.out)


def test_what_is_taken_back_and_shown_again_is_told(say: Callable, begun: Path) -> None:
    kept = say("visit", "note", "last", "weeps", "--json").json
    assert kept["kind"] == "note"
    taken = say("visit", "withdraw", "last", kept["id"], "--json").json
    assert taken["id"] == kept["id"]
    assert say("visit", "put-back", "last", kept["id"]).out.startswith("Restored: ")
    used = say("life", "used", "quay-air", "first=2025-05-01", "last=2025-05-31", "cycles=9")
    assert used.out.startswith("Saved use of quay-air")
    entry = say("pump", "record", "quay-air", "--json").json[0]["entry"]
    assert say("pump", "withdraw", "quay-air", entry["id"], "--json").json["id"] == entry["id"]
    assert say("pump", "put-back", "quay-air", entry["id"], "--json").json["id"] == entry["id"]


def test_files_written_are_named_in_json(say: Callable, begun: Path, tmp_path: Path) -> None:
    for words, name in (
        (("export",), "all.zip"), (("backup",), "depot.zip"),
        (("stores", "items-out", "--to"), "items.csv"), (("report", "last", "--to"), "report.pdf"),
        (("stores", "order", "--to"), "order.csv"),
    ):  # fmt: skip
        said = say(*words, str(tmp_path / name), "--json")
        assert said.code == 0, said.err
        assert (tmp_path / name).is_file()
        json.loads(said.out)


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("report last --to - --json", "--to and --json"),
        ("stores order --to - --json", "--to and --json"),
        ("fleet month --csv --json", "--csv and --json"),
        ("simulate --csv - --svg -", "--csv and --svg"),
    ],
)
def test_two_answers_on_one_output_are_refused(
    say: Callable, begun: Path, words: str, named: str
) -> None:
    said = say(*words.split())
    assert (said.code, said.out) == (2, "")
    assert named in said.err


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_json_and_toml_are_utf8_whatever_the_screen(
    begun: Path, tmp_path: Path, encoding: str
) -> None:
    depot = str(tmp_path / "depot.sqlite3")
    for words in (("pump", "list", "--json"), ("pump", "toml", "quay-air")):
        done = subprocess.run(
            [sys.executable, "-m", "wetend", "--depot", depot, *words], capture_output=True,
            check=True, env={"PYTHONIOENCODING": encoding, "PYTHONPATH": ":".join(sys.path)},
        )  # fmt: skip
        assert "Kölner Pumpe ½″" in done.stdout.decode("utf-8")
