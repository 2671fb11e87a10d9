"""The figures of the theory pages: each a published table or curve, with ours over it.

Every figure checks itself while it is drawn: where a published value stands, ours must lie within
the distance named, or the build stops.
"""

from __future__ import annotations

import csv
import importlib.util
import json
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import numpy as np
from plot import Axis, Plot

ROOT = Path(__file__).parents[1]

REFERENCE = ROOT / "tests" / "reference"


def near(ours: float, published: float, within: float) -> None:
    """Stop the build where ours and the published figure differ by more than this share."""
    if abs(ours - published) > within * abs(published):
        raise ValueError(f"{ours:g} against {published:g} published: more than {within:.2%}")


def rows(name: str) -> list[dict[str, str]]:
    """Published figures of one source, from the tests' own tables."""
    with (REFERENCE / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _runner() -> ModuleType:
    """The runner of the published figures, whose reading of a row is the only one."""
    spec = importlib.util.spec_from_file_location(
        "reference_runner", REFERENCE / "test_reference.py"
    )
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _numbers(value: object) -> list[float]:
    if isinstance(value, dict):
        return [n for item in value.values() for n in _numbers(item)]
    if isinstance(value, list):
        return [n for item in value for n in _numbers(item)]
    return [] if isinstance(value, str) else [float(value)]  # type: ignore[arg-type]


def _results(
    result: object, expected: object, picked: Callable[[object, str], object]
) -> list[float]:
    if isinstance(expected, dict):
        return [n for k, v in expected.items() for n in _results(picked(result, k), v, picked)]
    if isinstance(expected, str):
        return []
    return [float(n) for n in np.ravel(np.asarray(result, dtype=float))]


def agreement(modules: tuple[str, ...], what: str) -> str:
    """Ours over published, for every published figure that calls one of these modules."""
    runner = _runner()
    shares: list[float] = []
    memory: list[bool] = []
    for _, row in runner.ROWS:
        if not any(
            row["calls"].startswith(f"wetend.physics.{m}.") or row["calls"] == m for m in modules
        ):
            continue
        expected = runner.meant(json.loads(row["expected"]))
        for ours, told in zip(
            _results(runner.result_of(row), expected, runner.picked),
            _numbers(expected),
            strict=True,
        ):
            if told == 0:
                continue
            near(ours, told, float(row["tolerance"]) * 1.01 + 1e-12)
            shares.append(100 * (ours / told - 1))
            memory.append(row["status"] == "memory")
    reach = max(0.1, 1.25 * max(abs(s) for s in shares))
    plot = Plot(
        Axis("published figure, in the order of the evidence page", 0, len(shares) + 1),
        Axis("ours over published, %", -reach, reach),
        f"Agreement with published figures: {what}",
        f"{len(shares)} published figures; the largest difference is {max(abs(s) for s in shares):.2g} %.",
    )
    plot.law(lambda x: 0 * x, ink=4)
    numbered = list(enumerate(shares, 1))
    seen = [(i, s) for (i, s), m in zip(numbered, memory, strict=True) if not m]
    told = [(i, s) for (i, s), m in zip(numbered, memory, strict=True) if m]
    if seen:
        plot.points(*zip(*seen, strict=True), label="source seen", ink=0)
    if told:
        plot.points(*zip(*told, strict=True), label="from memory", ink=1)
    return plot.svg()
