"""Ours over the published figure, for all that check one part of the physics."""

from __future__ import annotations

import json
from collections.abc import Callable

import numpy as np
from loaded import loaded
from plot import Axis, Plot
from published import REFERENCE, near


def _numbers(value: object) -> list[float]:
    if isinstance(value, dict):
        return [n for item in value.values() for n in _numbers(item)]
    if isinstance(value, list):
        return [n for item in value for n in _numbers(item)]
    return [] if isinstance(value, str) else [float(value)]  # type: ignore[arg-type]


def _results(result: object, expected: object, picked: Callable[[object, str], object]) -> list[float]:
    if isinstance(expected, dict):
        return [n for k, v in expected.items() for n in _results(picked(result, k), v, picked)]
    if isinstance(expected, str):
        return []
    return [float(n) for n in np.ravel(np.asarray(result, dtype=float))]


def agreement(*modules: str) -> Plot:
    """Ours over published, for every published figure that calls one of these modules."""
    runner = loaded(REFERENCE / "test_reference.py")
    shares: list[float] = []
    memory: list[bool] = []
    for _, row in runner.ROWS:
        if not any(row["calls"].startswith(f"wetend.physics.{m}.") or row["calls"] == m for m in modules):
            continue
        expected = runner.meant(json.loads(row["expected"]))
        for ours, told in zip(
            _results(runner.result_of(row), expected, runner.picked), _numbers(expected), strict=True
        ):
            if told == 0:
                continue
            near(ours, told, float(row["tolerance"]) * 1.01 + 1e-12)
            shares.append(100 * (ours / told - 1))
            memory.append(row["status"] == "memory")
    reach = max(0.1, 1.25 * max(abs(s) for s in shares))
    plot = Plot(
        Axis(f"{len(shares)} published figures, in the order of the evidence page", 0, len(shares) + 1),
        Axis("ours over published, %", -reach, reach),
    )
    plot.law(lambda x: 0 * x, ink=4)
    numbered = list(enumerate(shares, 1))
    seen = [(i, s) for (i, s), m in zip(numbered, memory, strict=True) if not m]
    told = [(i, s) for (i, s), m in zip(numbered, memory, strict=True) if m]
    if seen:
        plot.points(*zip(*seen, strict=True), label="source seen", ink=0)
    if told:
        plot.points(*zip(*told, strict=True), label="from memory", ink=1)
    return plot
