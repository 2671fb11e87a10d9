"""Every published figure in this folder's CSV files, against the package.

The format of the files is described in README.md beside this file: id, calls, inputs, expected,
tolerance, why, source, status; one CSV a source, one row a figure.
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

from wetend.advice.calculators.calculator import calculate
from wetend.advice.calculators.catalogue import find_calculator
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


def result_of(row: Mapping[str, str]) -> Any:
    inputs = json.loads(row["inputs"])
    if row["calls"].startswith("calc "):
        name = row["calls"].removeprefix("calc ")
        return calculate(find_calculator(name), inputs).outcome.values
    return found(row["calls"])(**meant(inputs))


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


@pytest.mark.parametrize("path", FILES, ids=[path.stem for path in FILES])
def test_each_row_says_where_it_comes_from_and_why_its_tolerance(path: Path) -> None:
    with path.open(encoding="utf-8", newline="") as file:
        assert next(csv.reader(file)) == COLUMNS
    for row in rows_of(path):
        assert all(row[name] and row[name].strip() for name in COLUMNS), row["id"]
        assert row["status"] in STATUSES, row["id"]
        assert 1e-12 <= float(row["tolerance"]) <= 0.1, row["id"]
        assert ("from memory" in row["source"]) == (row["status"] == "memory"), row["id"]


def test_no_two_rows_share_an_id() -> None:
    ids = [row["id"] for _, row in ROWS]
    assert len(set(ids)) == len(ids)


def test_at_least_thirty_published_figures() -> None:
    assert len(ROWS) >= 30
