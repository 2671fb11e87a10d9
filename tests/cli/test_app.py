"""The command line refuses in one line, and never shows a trace."""

import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

import wetend
from wetend.cli.app import COMMANDS, run
from wetend.pump.toml import demo_pump, to_toml
from wetend.records.store import Depot


@pytest.mark.parametrize(
    "words",
    [
        ("nope",),
        ("--nope",),
        ("calc",),
        ("calc", "nope", "a=1"),
        ("calc", "gap-leak", "diameter"),
        (
            "calc",
            "gap-leak",
            "diameter=two",
            "clearance=1um",
            "length=1mm",
            "pressure=1bar",
            "viscosity=1",
        ),
        ("calc", "gap-leak", "--json"),
        ("pump", "show", "nope"),
        ("pump", "describe", "nope.toml"),
        ("visit", "start", "nope"),
        ("visit", "start", ""),
        ("visit", "show", "last"),
        ("checks", "last", "up_times=1 s"),
        ("inspect", "last", "nose", "a=1"),
        ("inspect", "last", "seat"),
        ("restore", "nope.zip"),
        ("sign-off", "last"),
        ("checks", "last", "--tap", "sideways"),
        ("--units", "cubits", "pump", "list"),
        ("--depot", "mysql://x/y", "pump", "list"),
        ("--depot", "/proc/nope/depot.sqlite3", "pump", "list"),
    ],
    ids=" ".join,
)
def test_bad_words_get_one_line(say: Callable, words: tuple[str, ...]) -> None:
    said = say(*words)
    assert said.code in (1, 2)
    assert said.err.startswith("wetend: ")
    assert said.err.count("\n") == 1
    assert "Traceback" not in said.err
    assert "inside" not in said.err


def test_exit_codes_follow_the_error(say: Callable) -> None:
    assert say("calc", "nope", "a=1").code == 2
    assert say("pump", "list").code == 0
    assert (
        say("calc", "stack-clock", "pitch=2mm", "heights=12mm,24mm", "depth=38mm", "--json").code
        == 0
    )


def test_every_command_that_a_sentence_names_is_there() -> None:
    """Messages, help and pages send people to commands by name."""
    root = Path(wetend.__file__).parent
    files = [f for kind in ("*.py", "*.html") for f in root.rglob(kind)]
    named = {n for f in files for n in re.findall(r"`wetend ([a-z][a-z-]*)", f.read_text("utf-8"))}
    assert "visit" in named
    assert named <= set(COMMANDS)


@pytest.mark.parametrize("name", list(COMMANDS))
def test_every_command_has_help(say: Callable, name: str) -> None:
    said = say(name, "--help")
    assert said.code == 0
    assert "Usage" in said.out


WORDS = st.one_of(
    st.sampled_from(
        [*COMMANDS, "last", "list", "show", "start", "seat", "--json", "--done", "tools=hammer"]
    ),
    st.text(max_size=30).filter(lambda w: "\x00" not in w),
    st.builds(
        "{}={}".format,
        st.sampled_from(["up_times", "heights.seat", "said", "key"]),
        st.text(max_size=20),
    ),
)


@costly(37)
@given(st.lists(WORDS, max_size=5).filter(lambda w: not {"serve", "demo", "backup"} & set(w)))
def test_any_words_end_in_an_answer_or_one_line(
    say: Callable, tmp_path: Path, words: list[str]
) -> None:
    Depot.open(tmp_path / "any.sqlite3").close()
    said = say("--depot", str(tmp_path / "any.sqlite3"), *words)
    assert said.code in (0, 1, 2)
    assert "Traceback" not in said.err
    assert "went wrong inside" not in said.err


def test_backup_and_restore_by_command(say: Callable, tmp_path: Path) -> None:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    say("pump", "describe", str(described))
    archive = tmp_path / "depot.zip"
    assert say("backup", str(archive)).code == 0
    other = str(tmp_path / "other.sqlite3")
    assert say("--depot", other, "restore", str(archive)).code == 2
    assert say("--depot", other, "restore", str(archive), "--create").code == 0
    assert "quay-air" in say("--depot", other, "pump", "list").out


def test_a_pump_is_not_described_twice_by_accident(say: Callable, tmp_path: Path) -> None:
    described = tmp_path / "pump.toml"
    described.write_text(to_toml(demo_pump("quay-air")), "utf-8")
    assert say("pump", "describe", str(described)).code == 0
    again = say("pump", "describe", str(described))
    assert again.code == 2
    assert "already" in again.err
    assert say("pump", "describe", str(described), "--replace").code == 0


def test_imperial_units_are_shown_when_asked(say: Callable) -> None:
    said = run(["--units", "imperial", "calc", "gap-leak"])
    assert said == 0
    told = say(
        "--units", "imperial", "calc", "seat-contact", "ball_diameter=1 in", "half_angle=45deg"
    )
    assert "0.7071 in" in told.out


_ASKED = """
import os, sys
from wetend.cli import app
app.run = lambda arguments: 0
print("numpy" in sys.modules)
try:
    app.main()
finally:
    print(os.environ["OPENBLAS_NUM_THREADS"])
"""


@pytest.mark.parametrize("chosen", [None, "3"])
def test_linear_algebra_keeps_to_one_thread_unless_told_otherwise(chosen: str | None) -> None:
    """Said before NumPy is read in, or it is not heard."""
    around = {k: v for k, v in os.environ.items() if k != "OPENBLAS_NUM_THREADS"}
    told = around | ({"OPENBLAS_NUM_THREADS": chosen} if chosen else {})
    ran = subprocess.run(
        [sys.executable, "-c", _ASKED], env=told, capture_output=True, text=True, check=True
    )
    assert ran.stdout.split() == ["False", chosen or "1"]
