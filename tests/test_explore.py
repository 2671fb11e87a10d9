"""`make explore` finds what fails for few numbers, says how to repeat it, and that repeats it."""

from __future__ import annotations

import shlex
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

EXPLORE = Path(__file__).with_name("explore.py")
PROFILES = """
from hypothesis import settings
settings.register_profile("explore", database=None, deadline=None)
"""
PROPERTIES = """
from hypothesis import given, strategies as st

@given(st.integers(0, 1000))
def test_sound(n):
    assert n >= 0

@given(st.integers(0, 1000))
def test_odd(n):
    assert n < 900

def test_without_drawing():
    raise AssertionError("not for this search")
"""


@pytest.fixture
def properties(tmp_path: Path) -> Path:
    (tmp_path / "pytest.ini").write_text("[pytest]\n", "utf-8")
    (tmp_path / "conftest.py").write_text(PROFILES, "utf-8")
    (tmp_path / "test_some.py").write_text(PROPERTIES, "utf-8")
    return tmp_path


def explored(folder: Path, *options: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, EXPLORE, "--minutes", "2", "--rounds", "1", "--workers", "0", *options],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip


def test_a_failure_is_told_with_the_command_that_repeats_it(properties: Path) -> None:
    found = explored(properties, "test_some.py")
    assert found.returncode == 1, found.stdout + found.stderr
    assert "FAILED test_some.py::test_odd" in found.stdout
    assert "test_sound" not in found.stdout
    assert "test_without_drawing" not in found.stdout
    log = (properties / "explore.log").read_text("utf-8")
    assert "n=900" in log  # the least that fails, in pytest's own report
    line = next(x for x in found.stdout.splitlines() if "repeat it:" in x)
    again = subprocess.run(
        shlex.split(line.partition("repeat it:")[2]),
        cwd=properties, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert again.returncode == 1
    assert "1 failed" in again.stdout


def test_a_wrong_name_ends_the_search_at_once(properties: Path) -> None:
    found = explored(properties, "no_such.py")
    assert found.returncode == 1
    assert "pytest could not run (status 4): see explore.log." in found.stderr


def _examples() -> list[tuple[int, str]]:
    """What a property test draws."""
    drawn: list[tuple[int, str]] = []

    @settings(max_examples=300)
    @given(st.integers(0, 10**9), st.text())
    def note(number: int, words: str) -> None:
        drawn.append((number, words))

    note()
    return drawn


def test_the_fixed_examples_do_not_hang_on_what_was_read_in_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Hypothesis by itself draws now and then a number or a word of the modules read in by then."""
    if settings.get_current_profile_name() != "fixed":
        return
    before = _examples()
    own = "\n".join(f"A{n}, B{n} = {n * n + 70_007}, 'word {n}'" for n in range(500))
    (tmp_path / "numbers_of_ours.py").write_text(own, "utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    import_module("numbers_of_ours")
    assert _examples() == before
    monkeypatch.delitem(sys.modules, "numbers_of_ours")
