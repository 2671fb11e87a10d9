"""Roots inside their brackets, whatever the function."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from wetend.physics.stroke.root import rising_roots


@given(st.floats(0.01, 50.0), st.floats(0.3, 7.0))
def test_agrees_with_brent(target: float, power: float) -> None:
    high = max(target, 1.0) ** (1 / power) * 2 + 1

    def residual(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return x**power - target, power * np.maximum(x, 1e-12) ** (power - 1)

    mine = rising_roots(residual, np.zeros(1), np.array([high]), start=np.array([high / 2]))
    # ours stops at a last step of 1e-10 in the abscissa, SciPy's at 2e-12
    right = brentq(lambda x: x**power - target, 0, high)
    assert mine[0] == pytest.approx(right, rel=1e-7, abs=2e-10)


def test_a_step_is_found_by_halving() -> None:
    def step(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return np.where(x < 0.3, -1.0, 1.0), np.zeros_like(x)

    found = rising_roots(step, np.zeros(1), np.ones(1), start=np.array([0.9]))
    assert found[0] == pytest.approx(0.3, abs=1e-8)


@pytest.mark.parametrize(("offset", "end"), [(5.0, 0.0), (-5.0, 1.0)])
def test_no_root_gives_the_end_it_lies_beyond(offset: float, end: float) -> None:
    def line(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return x + offset, np.ones_like(x)

    found = rising_roots(line, np.zeros(1), np.ones(1), start=np.array([0.5]))
    assert found[0] == pytest.approx(end, abs=1e-6)


def test_roots_found_are_not_moved_while_others_are_sought() -> None:
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
