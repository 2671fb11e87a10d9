"""Every root of one unknown is sought in one place, inside a bracket, or refused in a sentence."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from wetend.errors import NoAnswer
from wetend.roots import rising_roots, zero_between

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


@given(st.floats(0.01, 50.0), st.floats(0.3, 7.0))
def test_many_agree_with_brent(target: float, power: float) -> None:
    high = max(target, 1.0) ** (1 / power) * 2 + 1

    def residual(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return x**power - target, power * np.maximum(x, 1e-12) ** (power - 1)

    mine = rising_roots(residual, np.zeros(1), np.array([high]), start=np.array([high / 2]))
    # ours stops at a last step of 1e-10 in the abscissa, SciPy's at 2e-12
    right = brentq(lambda x: x**power - target, 0, high)
    assert mine[0] == pytest.approx(right, rel=1e-7, abs=2e-10)


def test_many_a_step_is_found_by_halving() -> None:
    def step(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return np.where(x < 0.3, -1.0, 1.0), np.zeros_like(x)

    found = rising_roots(step, np.zeros(1), np.ones(1), start=np.array([0.9]))
    assert found[0] == pytest.approx(0.3, abs=1e-8)


@pytest.mark.parametrize(("offset", "end"), [(5.0, 0.0), (-5.0, 1.0)])
def test_many_no_root_gives_the_end_it_lies_beyond(offset: float, end: float) -> None:
    def line(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return x + offset, np.ones_like(x)

    found = rising_roots(line, np.zeros(1), np.ones(1), start=np.array([0.5]))
    assert found[0] == pytest.approx(end, abs=1e-6)


def test_many_roots_found_are_not_moved_while_others_are_sought() -> None:
    """A thousand straight lines beside one step: no more rounds than the step takes by itself."""
    rounds = []

    def mixed(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        rounds.append(len(x))
        value, slope = x - np.linspace(0.1, 0.9, len(x)), np.ones_like(x)
        value[0], slope[0] = np.where(x[0] < 0.3, -1.0, 1.0), 0.0
        return value, slope

    ones = np.ones(1000)
    alone = rising_roots(mixed, 0 * ones[:1], ones[:1], start=0.5 * ones[:1])
    by_itself = len(rounds)
    together = rising_roots(mixed, 0 * ones, ones, start=0.5 * ones)
    assert len(rounds) == 2 * by_itself
    assert together[0] == alone[0]
    np.testing.assert_allclose(together[1:], np.linspace(0.1, 0.9, 1000)[1:], rtol=1e-15)
