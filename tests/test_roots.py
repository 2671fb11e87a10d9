"""Every root of one unknown is sought in one place, inside a bracket, or refused in a sentence."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from wetend.errors import NoAnswer
from wetend.roots import zero_between

SOURCES = Path(__file__).parents[1] / "src" / "wetend"
WHY = "There is none."


@given(st.floats(-1e6, 1e6), st.floats(1e-3, 1e6), st.floats(1e-3, 1e6))
def test_a_zero_between_two_signs_is_found(root: float, below: float, above: float) -> None:
    found = zero_between(lambda x: (x - root) ** 3, root - below, root + above, why=WHY, xtol=1e-9)
    assert found == pytest.approx(root, abs=1e-8 + 1e-9 * abs(root))


@pytest.mark.parametrize(
    ("low", "high", "function"),
    [
        (1.0, 2.0, lambda x: x),
        (-2.0, -1.0, lambda x: x),
        (0.0, 1.0, lambda x: math.nan),
        (0.0, 1.0, lambda x: math.inf if x else -1.0),
        (-math.inf, 1.0, lambda x: x),
    ],
)
def test_without_two_signs_the_reason_is_said(low: float, high: float, function) -> None:
    with pytest.raises(NoAnswer, match=r"^There is none\.$"):
        zero_between(function, low, high, why=WHY)


def test_an_end_that_is_the_root_is_the_answer() -> None:
    assert zero_between(lambda x: x, 0.0, 1.0, why=WHY) == 0.0
    assert zero_between(lambda x: x - 1.0, 0.0, 1.0, why=WHY) == 1.0


def test_no_other_module_seeks_a_root_by_itself() -> None:
    seekers = (
        "def _brent(",
        "brentq",
        "root_scalar",
        "fsolve",
        "toms748",
        "ridder(",
        "bisect(",
        "newton(",
    )
    found = {
        file.name for file in SOURCES.rglob("*.py")
        if any(seeker in file.read_text("utf-8") for seeker in seekers)
    }  # fmt: skip
    assert found == {"roots.py"}


@pytest.mark.parametrize(
    "function",
    [
        lambda x: x**3 - 2.0, lambda x: math.cos(x) - x, lambda x: math.exp(-x) - 1e-3,
        lambda x: math.tanh(40.0 * (x - 0.731)), lambda x: (x - 1.0) ** 9, lambda x: x - 1e-9,
        lambda x: math.copysign(abs(x - 0.3) ** 0.2, x - 0.3), lambda x: -1.0 if x < 2.345 else 1.0,
    ],
)  # fmt: skip
def test_the_root_is_where_scipy_finds_it(function: Callable[[float], float]) -> None:
    """Checks our own Brent's method, which spares reading SciPy's optimisers in."""
    low, high = -1.5, 9.0
    tries: list[float] = []

    def watched(x: float) -> float:
        tries.append(x)
        return function(x)

    found = zero_between(watched, low, high, why="No root.")
    known, run = brentq(function, low, high, xtol=1e-12, maxiter=10_000, full_output=True)
    assert found == pytest.approx(known, rel=1e-9, abs=2e-10)
    assert len(tries) <= run.function_calls + 3
