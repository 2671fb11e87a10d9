"""Robust centres and differences: against R's published output and SciPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import mannwhitneyu, ttest_ind

from wetend.errors import BadInput
from wetend.stats.robust import centre, hodges_lehmann, rank_shift, spread_by_median, welch

X = [0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46]
Y = [1.15, 0.88, 0.90, 0.74, 1.21]
"""Permeability, Hollander and Wolfe; the example of wilcox.test in R."""
READINGS = st.lists(st.floats(-100, 100), min_size=2, max_size=12)


def test_shift_and_interval_of_the_permeability_data() -> None:
    """Shift 0.305, interval -0.15 to 0.76 (from memory of R's wilcox.test output)."""
    found = rank_shift(X, Y)
    assert found.shift == pytest.approx(0.305, abs=5e-4)
    assert (found.low, found.high) == pytest.approx((-0.15, 0.76), abs=1e-9)
    assert found.confidence >= 0.95


@given(READINGS, READINGS)
def test_welch_agrees_with_scipy(first: list[float], second: list[float]) -> None:
    if np.std(first) < 1e-6 or np.std(second) < 1e-6:
        return
    ours, other = welch(first, second), ttest_ind(first, second, equal_var=False)
    assert ours.t == pytest.approx(other.statistic, rel=1e-9, abs=1e-12)
    assert ours.p == pytest.approx(other.pvalue, rel=1e-7, abs=1e-12)


@given(st.integers(1, 7), st.integers(1, 7), st.integers(0, 10_000))
def test_rank_p_agrees_with_scipy(n: int, m: int, seed: int) -> None:
    random = np.random.default_rng(seed)
    x, y = random.normal(0.3, 1, n).tolist(), random.normal(0, 1, m).tolist()
    other = mannwhitneyu(x, y, alternative="greater", method="exact")
    found = rank_shift(x, y)
    assert found.rank_sum == other.statistic
    assert found.p_greater == pytest.approx(other.pvalue, rel=1e-9)


def test_two_readings_a_side_cannot_bound_a_shift() -> None:
    found = rank_shift([1.0, 2.0], [3.0, 4.0])
    assert (found.low, found.high) == (-math.inf, math.inf)
    assert found.confidence == 1.0


@given(READINGS, st.floats(-10, 10), st.floats(0.1, 10))
def test_centre_moves_and_scales_with_its_readings(
    values: list[float], move: float, scale: float
) -> None:
    moved = [move + scale * v for v in values]
    assert hodges_lehmann(moved) == pytest.approx(move + scale * hodges_lehmann(values), abs=1e-9)
    assert spread_by_median(moved) == pytest.approx(scale * spread_by_median(values), abs=1e-9)


def test_one_missed_tap_does_not_move_the_stroke_time() -> None:
    times = [1.40, 1.42, 1.41, 1.43, 1.39, 1.42, 1.41, 1.40, 1.42, 1.41]
    wild = [*times[:-1], 2.83]
    assert hodges_lehmann(wild) == pytest.approx(hodges_lehmann(times), abs=0.01)
    assert abs(float(np.mean(wild)) - float(np.mean(times))) > 0.1


def test_uncertainty_of_the_centre_is_what_repeating_shows() -> None:
    random = np.random.default_rng(11)
    drawn = [centre(random.normal(1.4, 0.05, 15).tolist()) for _ in range(1500)]
    middles, uncertainties = np.array(drawn).T
    assert float(middles.std()) == pytest.approx(float(np.sqrt((uncertainties**2).mean())), rel=0.1)
    assert float(middles.mean()) == pytest.approx(1.4, abs=0.002)


def test_alternating_strokes_are_told_apart() -> None:
    """A train of turning points with known up and down times, jittered, comes back."""
    random = np.random.default_rng(6)
    up, down = 1.40, 1.05
    turns = np.cumsum(np.array([up, down] * 15)) + random.normal(0, 0.03, 30)
    times = np.diff(turns)
    difference = welch(times[1::2].tolist(), times[0::2].tolist())
    assert difference.low < up - down < difference.high
    assert difference.p < 1e-6


def test_too_few_or_broken_readings_are_refused() -> None:
    with pytest.raises(BadInput, match="At least 2"):
        welch([1.0], [1.0, 2.0])
    with pytest.raises(BadInput, match="alike"):
        welch([1.0, 1.0], [2.0, 2.0])
    with pytest.raises(BadInput, match="ordinary"):
        hodges_lehmann([1.0, math.nan])
