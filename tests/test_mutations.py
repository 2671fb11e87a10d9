"""The benchmark that mutates the program: what it draws, which tests it runs, what it reports."""

from __future__ import annotations

import ast
import csv
import subprocess
import sys
from pathlib import Path

import pytest
from mutants import Mutation, modules_of, mutations_of
from mutations import NAMED, read
from nearest_tests import NearestTests

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "wetend"
SOURCE = '''
"""Not 1 < 2 in here."""
import math
from dataclasses import dataclass
from pydantic import Field

@dataclass(frozen=True)
class Kind:
    size: int = Field(default=3, ge=7, le=70, description="from 1 to 9")
    def __repr__(self): return 5 * "x"

def taken(a: tuple[float, Literal[4]], *, most=8.0) -> float:
    total = 0.0
    total += a[0] * math.sin(a[1])
    if not total < most and a[-1]:
        return min(total, 2)
    return total - f"{6 - 1}"
'''


def drawn(tmp_path: Path, source: str) -> list[Mutation]:
    path = tmp_path / "some.py"
    path.write_text(source, encoding="utf-8")
    return mutations_of(path)


def test_it_draws_what_a_slip_of_the_pen_could_change_and_no_text(tmp_path: Path) -> None:
    made = {(m.kind, m.before, m.after) for m in drawn(tmp_path, SOURCE)}
    assert made == {
        ("number", "3", "4"), ("number", "8.0", "9.6"), ("number", "2", "3"),
        ("statement left out", "total += a[0] * math.sin(a[1])", "pass"),
        ("arithmetic", "a[0] * math.sin(a[1])", "a[0] / math.sin(a[1])"),
        ("first/last", "0", "-1"), ("first/last", "-1", "0"), ("function", "min", "max"),
        ("function", "math.sin", "math.cos"), ("compare", "total < most", "total <= most"),
        ("compare", "total < most", "total > most"),
        ("not left out", "not total < most", "(total < most)"),
        ("and/or", "not total < most and a[-1]", "((not total < most) or (a[-1]))"),
    }  # fmt: skip


@pytest.mark.parametrize("room", ["stats/signal", "advice/prove"])
def test_every_mutation_is_python_and_another_program(room: str) -> None:
    for path in modules_of(PACKAGE, (room,), ()):
        sound = ast.dump(ast.parse(path.read_bytes()))
        for mutation in mutations_of(path)[::9]:
            assert ast.dump(ast.parse(mutation.source())) != sound, (path, mutation.what)


def test_the_mirrored_file_comes_first_and_the_rest_reaches_the_module() -> None:
    near = NearestTests(ROOT)
    order = near.of(PACKAGE / "advice" / "ratings.py")
    assert order[0] == ROOT / "tests" / "advice" / "test_ratings.py"
    used = [test for test in order if "wetend.advice.prove.proof" in near.tests[test]]
    assert used  # it asks the ratings, one import away


def test_the_fixed_list_fits_the_sources() -> None:
    """Where this fails the code moved on: mend benchmarks/named_mutations.csv."""
    rows = read(NAMED)
    assert rows
    for row in rows:
        assert (PACKAGE / row["module"]).read_text("utf-8").count(row["before"]) == 1, row


RATINGS = '''
def weakest(pressures):
    """Lowest.

    >>> weakest([3.0, 2.0])
    2.0
    """
    found = pressures[0]
    for pressure in pressures:
        if pressure < found:
            found = pressure
    return found
'''
TEST = """
from wetend.advice.ratings import weakest

def test_weakest():
    assert weakest([3.0, 1.0, 2.0]) == 1.0
"""


def test_a_run_counts_caught_and_survived_and_names_the_test(tmp_path: Path) -> None:
    """Of three mutations of this: < turned round is caught; <= and the last for the first not."""
    for place, text in {
        "src/wetend/__init__.py": "", "src/wetend/advice/__init__.py": "",
        "src/wetend/advice/ratings.py": RATINGS, "tests/advice/test_ratings.py": TEST,
        "pyproject.toml": "[tool.pytest.ini_options]\naddopts = '--import-mode=importlib'\n",
    }.items():  # fmt: skip
        path = tmp_path / "tree" / place
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    record = tmp_path / "mutations.csv"
    run = subprocess.run(
        [sys.executable, ROOT / "benchmarks" / "mutations.py", "--root", tmp_path / "tree",
         "--write", record, "--seed", "3"], text=True, capture_output=True, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stdout + run.stderr
    with record.open(encoding="utf-8", newline="") as file:
        rows = {row["what"].split(" in:")[0]: row for row in csv.DictReader(file)}
    assert {what: row["outcome"] for what, row in rows.items()} == {
        "pressure < found -> pressure > found": "caught",
        "pressure < found -> pressure <= found": "survived",
        "0 -> -1": "survived",
    }
    caught = rows["pressure < found -> pressure > found"]
    assert caught["by"] == "tests/advice/test_ratings.py::test_weakest"
    assert (caught["room"], caught["module"], caught["line"]) == (
        "advice", "advice/ratings.py", "10")  # fmt: skip
