"""Leaks through gaps: against a published example, another route, integration and the limits."""

from __future__ import annotations

import math

import numpy as np
import pytest
from closed_forms import passage_flow
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from wetend.physics.leakage import seat_gap
from wetend.physics.stroke.gap import (
    Filling,
    GapPath,
    LeakRate,
    blend,
    gap_of_leak,
    leak_rate,
)

PATH = GapPath(width=0.005, length=0.004)


def _leak(gap: float, path: GapPath, filling: Filling, pressure: float) -> float:
    rate = leak_rate(gap, path, filling, pressure=pressure)
    return float(blend(rate, np.ones(1), filling.power)[0][0])


def test_piston_clearance_example() -> None:
    """Fox and McDonald, Introduction to Fluid Mechanics, 5th ed., example 8.1, as transcribed in
    the FOSSEE Python Textbook Companions: 57.6 mm3/s. End losses, left out there, are below 1e-5.
    """
    path = GapPath(width=math.pi * 0.025, length=0.015)
    leak = _leak(5e-6, path, Filling(0.018, 1.0, 880.0), 19e6)
    assert leak * 1e9 == pytest.approx(57.57, rel=1e-4)


@given(st.floats(5e-6, 3e-4), st.floats(0.01, 5.0), st.floats(1e5, 4e7), st.floats(700.0, 3000.0))
def test_newtonian_gap_agrees_with_the_passage_route(
    gap: float, viscosity: float, pressure: float, density: float
) -> None:
    passage = seat_gap(gap, PATH.width, PATH.length)
    other = passage_flow(passage, pressure, viscosity=viscosity, density=density)
    assert _leak(gap, PATH, Filling(viscosity, 1.0, density), pressure) == pytest.approx(
        other, rel=1e-9
    )


@pytest.mark.parametrize("index", [0.4, 0.72, 1.0, 1.3])
def test_laminar_part_against_integration_of_the_profile(index: float) -> None:
    """Speed across the slit from the stress line tau = p y / l, integrated numerically."""
    gap, pressure, consistency = 60e-6, 2e7, 3.2

    def rate(y: float) -> float:
        return float((pressure * y / PATH.length / consistency) ** (1 / index))

    flow = 2 * PATH.width * quad(lambda y: y * rate(y), 0, gap / 2, epsabs=0, epsrel=1e-10)[0]
    laminar = leak_rate(gap, PATH, Filling(consistency, index, 1400.0), pressure=pressure).laminar
    assert float(laminar) == pytest.approx(flow, rel=1e-8)


@pytest.mark.parametrize("index", [0.6, 1.0, 1.4])
@pytest.mark.parametrize("scale", [0.3, 2.5])
def test_a_liquid_so_many_times_as_thick_leaks_as_one_of_that_consistency(
    index: float, scale: float
) -> None:
    thick = leak_rate(60e-6, PATH, Filling(3.2 * scale, index, 1400.0), pressure=2e7)
    scaled = leak_rate(60e-6, PATH, Filling(3.2, index, 1400.0), pressure=2e7,
                       viscosity_scale=scale)  # fmt: skip
    assert float(scaled.laminar) == pytest.approx(float(thick.laminar), rel=1e-12)
    assert float(scaled.inertial) == float(thick.inertial)


@given(st.floats(1e-10, 1e-3), st.floats(0.3, 1.5), st.floats(0.01, 50.0))
def test_gap_of_leak_turns_leak_rate_round(leak: float, index: float, consistency: float) -> None:
    filling = Filling(consistency, index, 1400.0)
    gap = float(gap_of_leak(leak, PATH, filling, pressure=2.5e7)[0])
    assert _leak(gap, PATH, filling, 2.5e7) == pytest.approx(leak, rel=1e-6)


def test_no_gap_no_leak_and_no_leak_no_gap() -> None:
    filling = Filling(0.3, 1.0, 1200.0)
    assert _leak(0.0, PATH, filling, 2e7) == 0.0
    assert float(gap_of_leak(0.0, PATH, filling, pressure=2e7)[0]) == 0.0


def test_limits_slow_and_fast() -> None:
    ratio = np.array([0.25])
    slow, fast = LeakRate(1e-9, 1.0), LeakRate(1.0, 1e-9)
    assert blend(slow, ratio, 1.0)[0][0] == pytest.approx(0.25e-9, rel=1e-6)
    assert blend(fast, ratio, 1.0)[0][0] == pytest.approx(0.5e-9, rel=1e-6)


@given(st.floats(1e-3, 3.0), st.floats(0.2, 2.0), st.floats(1e-3, 1e3))
def test_slope_is_the_derivative(ratio: float, index: float, steep: float) -> None:
    rate, power, h = LeakRate(1.0, steep), 1 / index, 1e-6 * ratio
    ends = blend(rate, np.array([ratio - h, ratio + h]), power)[0]
    slope = float(blend(rate, np.array([ratio]), power)[1][0])
    assert slope == pytest.approx((ends[1] - ends[0]) / (2 * h), rel=1e-4)


@given(
    st.floats(0, 1.0), st.floats(1e-9, 1e4), st.floats(0.05, 2.0), st.floats(1e-3, 1e9),
    st.floats(1e-3, 1e3),
)  # fmt: skip
def test_never_nan(gap: float, k: float, index: float, pressure: float, scale: float) -> None:
    filling = Filling(k, index, 1000.0)
    rate = leak_rate(gap, PATH, filling, pressure=pressure, viscosity_scale=scale)
    for ratio in (1e-12, 1e-3, 1.0, 1e3):
        flow, slope = blend(rate, np.array([ratio]), filling.power)
        assert np.isfinite(flow).all()
        assert np.isfinite(slope).all()
        assert flow[0] >= 0
