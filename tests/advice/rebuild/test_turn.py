"""Directions on a thread: turns, wrapped chances, subsets, circular intervals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm, vonmises

from wetend.advice.rebuild import turn as stack_turn

TURN = 2 * math.pi


@settings(deadline=None)
@given(gap=st.floats(-0.05, 0.05), lead=st.floats(1e-4, 0.02), datum=st.floats(-7, 7))
def test_stop_is_the_turns_left_counted_from_the_datum(
    gap: float, lead: float, datum: float
) -> None:
    """Plain trigonometry of the helix; a left-hand thread goes the other way."""
    for hand, sign in (("right", 1), ("left", -1)):
        ours = float(stack_turn.stop_angle(gap, lead, datum=datum, hand=hand))
        assert 0 <= ours <= TURN
        plain = datum + sign * TURN * gap / lead
        assert math.cos(ours - plain) == pytest.approx(1.0, abs=1e-9)


def test_chance_agrees_with_the_normal_where_nothing_wraps() -> None:
    ours = float(stack_turn.on_target(0.1, 0.2, target=0.0, within=0.3))
    assert ours == pytest.approx(norm.cdf(0.3, 0.1, 0.2) - norm.cdf(-0.3, 0.1, 0.2), abs=1e-12)


@pytest.mark.parametrize("spread", [9.3, 9.5, 1e3, 1e12])
def test_wide_spread_is_even_all_round(spread: float) -> None:
    """Continuous where the even law takes over, and right beyond it."""
    ours = float(stack_turn.on_target(1.0, spread, target=0.0, within=0.5))
    assert ours == pytest.approx(0.5 / math.pi, abs=1e-8)


def test_no_spread_is_yes_or_no() -> None:
    chances = stack_turn.on_target(np.array([0.1, 0.3]), 0.0, target=0.0, within=0.2)
    assert chances.tolist() == [1.0, 0.0]


@given(st.floats(-7, 7), st.floats(-7, 7), st.sampled_from(["right", "left"]))
def test_the_tightening_turn_leads_back_to_its_direction(datum, direction, hand) -> None:
    """A stop that far on in the tightening direction points there."""
    gap = stack_turn.tightening(direction, datum=datum, hand=hand) / TURN * 2e-3
    stops = float(stack_turn.stop_angle(gap, 2e-3, datum=datum, hand=hand))
    assert math.cos(stops - direction) == pytest.approx(1.0, abs=1e-9)


def test_circular_interval_of_a_known_law() -> None:
    """A von Mises sample about 12 o'clock: its own quantiles, unwrapped (SciPy's vonmises)."""
    law = vonmises(25.0, loc=0.0)
    draws = law.rvs(200_000, random_state=3) % TURN
    low, middle, high = stack_turn.circular_interval(draws)
    assert [low - middle, high - middle] == pytest.approx(law.ppf([0.05, 0.95]).tolist(), abs=0.005)
    assert math.cos(middle) == pytest.approx(1.0, abs=1e-5)


@given(st.floats(allow_nan=False, allow_infinity=False, width=32))
def test_clock_is_always_a_clock(angle: float) -> None:
    hour, minute = stack_turn.clock_text(angle).split(":")
    assert 1 <= int(hour) <= 12
    assert int(minute) % 5 == 0
    assert int(minute) < 60
