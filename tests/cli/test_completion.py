"""What shells complete by, and the man page: both of every command that there is."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from command_tree import every

from wetend.cli.app import COMMANDS
from wetend.cli.completer import complete
from wetend.records import completion_names

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("che", ["checks"]),
        ("pump sh", ["show"]),
        ("prove last stall_pr", ["stall_pressure="]),
        ("prove last wet_cup=cl", ["wet_cup=clean"]),
        ("prove last --an", ["--anew"]),
        ("--units im", ["imperial"]),
        ("--units imperial pump li", ["list"]),
        ("report last --kind strip", ["strip-card"]),
        ("inspect last se", ["seat", "seal-land"]),
        ("inspect last seat chip_w", ["chip_width="]),
        ("make-safe last drive_off=", ["drive_off=yes", "drive_off=no"]),
        ("calc cup-v", ["cup-viscosity"]),
        ("completion f", ["fish"]),
        ("visit show la", ["last"]),
        ("sign-off last proof", []),
        ("pump describe pu", []),
        ("nonsense and more", []),
    ],
)
def test_what_may_stand_next(line: str, found: list[str]) -> None:
    assert complete("zsh", line.split(" ")) == found


def test_all_commands_are_offered() -> None:
    assert complete("fish", [""]) == list(COMMANDS)
    assert complete("bash", []) == list(COMMANDS)


def test_bash_takes_words_apart_at_the_sign() -> None:
    assert complete("bash", ["prove", "last", "wet_cup", "=", "c"]) == [
        "clean",
        "coating\\ in\\ it",
    ]
    assert complete("bash", ["prove", "last", "wet_cup", "="]) == [
        "not\\ looked", "clean", "coating\\ in\\ it",
    ]  # fmt: skip
    assert complete("bash", ["prove", "last", "wet_cup", "=", "coating\\ i"]) == [
        "coating\\ in\\ it"
    ]


@pytest.fixture
def demo(copy_demo: Callable[[Path], Path], tmp_path: Path) -> Path:
    return copy_demo(tmp_path / "demo 1.sqlite3")


def test_pumps_and_visits_come_from_the_depot(demo: Path, say: Callable) -> None:
    before = sorted(demo.parent.iterdir())
    keys = [p["key"] for p in say("--depot", str(demo), "pump", "list", "--json").json]
    words = ["--depot", str(demo), "pump", "show", ""]
    assert sorted(complete("zsh", words)) == sorted(keys)
    assert complete("zsh", [*words[:-1], keys[0][:4]])[0].startswith(keys[0][:4])
    assert complete("zsh", ["--depot", str(demo), "injection", ""])[0] == "last"
    last, *others = completion_names.visits(demo)
    shown = say("--depot", str(demo), "visit", "show", "last", "--json").json["id"]
    assert shown.endswith(last)
    assert say("--depot", str(demo), "visit", "show", others[0]).code == 0
    assert set(before) <= set(demo.parent.iterdir())


def test_without_a_depot_nothing_is_made_and_nothing_said(tmp_path: Path) -> None:
    nowhere = tmp_path / "none.sqlite3"
    assert complete("zsh", ["--depot", str(nowhere), "pump", "show", ""]) == []
    other = tmp_path / "text.sqlite3"
    other.write_text("no database", "utf-8")
    assert complete("zsh", ["--depot", str(other), "pump", "show", ""]) == []
    assert complete("zsh", ["--depot", "postgresql://x/y", "pump", "show", ""]) == []
    assert list(tmp_path.iterdir()) == [other]


def test_bash_completes_by_the_script(say: Callable, demo: Path, tmp_path: Path) -> None:
    bash = shutil.which("bash")
    assert bash, "The checks of this repository need Bash."
    written = tmp_path / "completion.sh"
    written.write_text(say("completion", "bash").out, "utf-8")
    ours = tmp_path / "bin"
    ours.mkdir()
    (ours / "wetend").write_text(f'#!/bin/sh\nexec "{sys.executable}" -m wetend "$@"\n', "utf-8")
    (ours / "wetend").chmod(0o755)
    asked = (
        f'source "{written}"; '
        'COMP_WORDS=(wetend prove last stall_pr); COMP_CWORD=3; _wetend; echo "${COMPREPLY[@]}"; '
        'COMP_WORDS=(wetend visit sh); COMP_CWORD=2; _wetend; echo "${COMPREPLY[@]}"'
    )
    around = {
        **os.environ, "PATH": f"{ours}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": os.pathsep.join(sys.path), "WETEND_DEPOT": str(demo),
    }  # fmt: skip
    done = subprocess.run(
        [bash, "-c", asked], env=around, capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == ["stall_pressure=", "show"]


def test_completing_reads_no_heavy_library_in() -> None:
    code = (
        "import sys; from wetend.cli.app import run; "
        "run(['__complete', 'bash', 'prove', 'last', 's']); "
        "heavy = {'numpy', 'scipy', 'sqlalchemy', 'pydantic', 'rich.console', 'numba'}; "
        "print('LOADED', sorted(heavy & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )  # fmt: skip
    assert "solvent_lost=" in done.stdout
    assert "LOADED []" in done.stdout


def test_the_man_page_lists_every_command_and_setting() -> None:
    page = (ROOT / "docs" / "wetend.1").read_text("utf-8").replace("\\-", "-")
    named = set(re.findall(r"^\.SS (wetend .*)$", page, re.MULTILINE))
    assert named == {node.path for node in every()}
    for node in every():
        block = page.partition(f".SS {node.path}\n")[2].partition("\n.SS ")[0]
        for param in node.command.params:
            name = param.opts[0] if param.opts[0].startswith("-") else param.metavar
            assert node.is_group or name in block, (node.path, name)
    assert "WETEND_DEPOT" in page


def test_man_page_and_scripts_come_with_the_package() -> None:
    told = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    shared = told["tool"]["hatch"]["build"]["targets"]["wheel"]["shared-data"]
    assert "share/man/man1/wetend.1" in shared.values()
    for file in shared:
        assert (ROOT / file).is_file(), file


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_a_script_for_each_shell(say: Callable, shell: str) -> None:
    said = say("completion", shell)
    assert said.code == 0
    assert f"wetend __complete {shell}" in said.out
    assert json.loads(say("completion", shell, "--json").out)["script"] == said.out
