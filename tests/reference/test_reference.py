"""Every published figure of this folder's CSV files, and every check of its ``checks_*.py``.

The format of the files is described in README.md beside this file. What a row or a check guards
must be in use: reached from a page, a command or a calculator.
"""

from __future__ import annotations

import csv
import importlib
import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from checked import STATUSES as CHECKED
from checked import Check
from loaded import loaded
from user_reach import reached_by_users, walk

from wetend.advice.calculators.calculator import calculate
from wetend.advice.calculators.catalogue import FAMILIES, find_calculator
from wetend.units.kinds import KINDS
from wetend.units.parse import read_quantity

HERE = Path(__file__).parent
COLUMNS = ["id", "calls", "inputs", "expected", "tolerance", "why", "source", "status"]
STATUSES = {"seen", "seen-transcribed", "seen-library", "memory"}
KIND_NAMES = {kind.name: kind for kind in KINDS}
FILES = sorted(HERE.glob("*.csv"))


def rows_of(path: Path) -> Iterator[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file, strict=True)


ROWS = [(path.stem, row) for path in FILES for row in rows_of(path)]
CHECKS: list[Check] = [
    check for path in sorted(HERE.glob("checks_*.py")) for check in loaded(path).CHECKS
]


def found(dotted: str) -> Any:
    """The function so named, which must be ours."""
    assert dotted.startswith("wetend."), f"{dotted} is not a function of the package"
    module, _, name = dotted.rpartition(".")
    return getattr(importlib.import_module(module), name)


def meant(value: Any) -> Any:
    """JSON turned into what it stands for: SI numbers, objects, lists, text."""
    if isinstance(value, list):
        return [meant(item) for item in value]
    if not isinstance(value, dict):
        return value
    if "call" in value:
        rest = {name: meant(item) for name, item in value.items() if name != "call"}
        return found(value["call"])(**rest)
    if len(value) == 1:
        ((name, text),) = value.items()
        if name in KIND_NAMES and isinstance(text, str):
            return read_quantity(text, KIND_NAMES[name], bare=KIND_NAMES[name].si)
    return {name: meant(item) for name, item in value.items()}


def answer(calls: str, inputs: Mapping[str, Any]) -> Any:
    if calls.startswith("calc "):
        return calculate(find_calculator(calls.removeprefix("calc ")), inputs).outcome.values
    return found(calls)(**inputs)


def result_of(row: Mapping[str, str]) -> Any:
    inputs = json.loads(row["inputs"])
    return answer(row["calls"], inputs if row["calls"].startswith("calc ") else meant(inputs))


def checked(check: Check) -> Any:
    ours = check.run() if check.run else answer(check.calls, check.inputs)
    return check.picks(ours) if check.picks else ours


def picked(result: Any, name: str) -> Any:
    return result[name] if isinstance(result, Mapping) else getattr(result, name)


def compare(result: Any, expected: Any, tolerance: float) -> None:
    if isinstance(expected, dict):
        for name, value in expected.items():
            compare(picked(result, name), value, tolerance)
    elif isinstance(expected, str):
        assert str(result) == expected
    else:
        near = np.asarray(expected, dtype=float)
        atol = np.where(near == 0, tolerance, 0.0)
        got = np.asarray(result, dtype=float)
        assert got.shape == near.shape, f"shape {got.shape}, expected {near.shape}"
        assert np.all(np.abs(got - near) <= tolerance * np.abs(near) + atol), (
            f"got {result!r}, printed {expected!r}, relative tolerance {tolerance:g}"
        )


@pytest.mark.parametrize(("file", "row"), ROWS, ids=[f"{f}:{r['id']}" for f, r in ROWS])
def test_published_figure(file: str, row: dict[str, str]) -> None:
    compare(result_of(row), meant(json.loads(row["expected"])), float(row["tolerance"]))


@pytest.mark.parametrize("check", CHECKS, ids=[check.id for check in CHECKS])
def test_checked_figure(check: Check) -> None:
    compare(checked(check), check.expected(), check.tolerance)


@pytest.mark.parametrize("path", FILES, ids=[path.stem for path in FILES])
def test_each_row_says_where_it_comes_from_and_why_its_tolerance(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        assert next(csv.reader(file)) == COLUMNS
    for row in rows_of(path):
        assert all(row[name] and row[name].strip() for name in COLUMNS), row["id"]
        assert row["status"] in STATUSES, row["id"]
        assert 1e-12 <= float(row["tolerance"]) <= 0.1, row["id"]
        assert ("from memory" in row["source"]) == (row["status"] == "memory"), row["id"]


def test_each_check_says_where_its_answer_comes_from_and_why_its_tolerance() -> None:
    for check in CHECKS:
        assert check.why.strip(), check.id
        assert check.source.strip(), check.id
        assert check.status in CHECKED, check.id
        assert 1e-12 <= check.tolerance <= 0.1, check.id
        assert "memory" not in check.source, check.id


def test_no_two_share_an_id() -> None:
    ids = [row["id"] for _, row in ROWS] + [check.id for check in CHECKS]
    assert sorted(ids) == sorted(set(ids))


def _plain(inputs: Mapping[str, Any]) -> str:
    return json.dumps(inputs, sort_keys=True, default=repr)


def test_no_two_ask_the_same_of_the_same() -> None:
    """A function or calculator with the same inputs counts once."""
    asked = [(row["calls"], _plain(json.loads(row["inputs"]))) for _, row in ROWS]
    asked += [(check.calls, _plain(check.inputs) + check.picked) for check in CHECKS]
    twice = {each for each in asked if asked.count(each) > 1}
    assert not twice


def calls_in(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        yield from ([value["call"]] if "call" in value else [])
        for item in value.values():
            yield from calls_in(item)
    elif isinstance(value, list):
        for item in value:
            yield from calls_in(item)


def targets() -> Iterator[tuple[str, str]]:
    """The id of each row or check and what it calls, calculators left out."""
    for _, row in ROWS:
        inside = [*calls_in(json.loads(row["inputs"])), *calls_in(json.loads(row["expected"]))]
        for name in (row["calls"], *inside):
            yield row["id"], name
    for check in CHECKS:
        yield check.id, check.calls


def test_each_guards_what_a_user_reaches() -> None:
    walked = reached_by_users()
    lost = [(name, target) for name, target in targets()
            if not target.startswith("calc ") and not walked.is_reached(target)]  # fmt: skip
    assert not lost


def test_every_calculator_is_checked_against_something_outside() -> None:
    sure = {target for _, target in targets()}
    remembered = {row["calls"] for _, row in ROWS if row["status"] == "memory"}
    seen = {row["calls"] for _, row in ROWS if row["status"] != "memory"}
    seen |= {check.calls for check in CHECKS}
    known = {f"calc {name}" for names in FAMILIES.values() for name in names}
    assert known <= sure
    assert not {name for name in known & remembered if name not in seen}


ANSWERS = {
    "diagnosis": ("wetend.cli.checks.app", ("jobs-by-enumeration", "chest-clinic",
                  "law-over-prior", "calm-likelihood", "two-boxes-best")),
    "strip order": ("wetend.cli.strip.app", ("esc07", "esc11")),
    "inspection": ("wetend.cli.inspect.app", ("bore-within",)),
    "stack and shims": ("wetend.cli.rebuild.app", ("on-target-0.1", "stop-of-a-shim")),
    "proof limits": ("wetend.cli.prove.app", ("hold-limit",)),
    "set-up sheet": ("wetend.cli.handover.app", ("line-at-work", "stall-statics")),
    "life": ("wetend.cli.life.app", ("survival-weibull", "product-limit-1")),
    "stores": ("wetend.cli.stores.app", ("order-list",)),
    "fleet": ("wetend.cli.fleet.app", ("age-rule-played", "tijms-played-2.125")),
    "simulation in motion": ("wetend.cli.simulate.app", ("cycle-by-cvode", "robertson", "hires")),
    "listening": ("wetend.cli.listen.app", ("wav-float", "self-agreement", "nile-break",
                  "two-stroke-lengths")),
}  # fmt: skip
"""Each kind of answer: the command that gives it, and what holds it to something outside."""


@pytest.mark.parametrize("kind", ANSWERS)
def test_each_kind_of_answer_is_checked_on_its_way_to_a_user(kind: str) -> None:
    root, ids = ANSWERS[kind]
    named = dict(targets())
    walked = walk()
    walked.reach(root)
    for name in ids:
        assert walked.is_reached(named[name]), f"{root} does not reach {named[name]}"


def test_two_hundred_are_distinct_and_not_from_memory() -> None:
    sure = [row for _, row in ROWS if row["status"] != "memory"]
    assert len(sure) + len(CHECKS) >= 200
