"""A ball's way back: the closed form in slow flow, and the steady speed as its limit."""

from __future__ import annotations

import math

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from wetend.errors import BadInput, NoAnswer
from wetend.physics.falls import added_mass, fall_time
from wetend.physics.valves import fall_speed, wall_factor
from wetend.units.constants import GRAVITY


@pytest.mark.parametrize("tube", [None, 0.03])
def test_slow_fall_from_rest_has_a_closed_form(tube: float | None) -> None:
    # x = v (t - T (1 - exp(-t/T))), T = (m + m_a)/(3 pi mu d K): Stokes drag is linear
    d, ball, liquid, viscosity, rise = 0.022, 7800.0, 1300.0, 200.0, 1e-7
    factor = 1.0 if tube is None else wall_factor(d / tube)
    drag = 3 * math.pi * viscosity * d * factor
    volume = math.pi / 6 * d**3
    mass = ball * volume + added_mass(d, liquid)
    steady, relax = (ball - liquid) * volume * GRAVITY / drag, mass / drag
    exact = brentq(lambda t: steady * (t - relax * (1 - math.exp(-t / relax))) - rise, 0.0, 10.0,
                   xtol=1e-14)  # fmt: skip
    found = fall_time(rise, d, ball_density=ball, density=liquid, viscosity=viscosity, tube=tube)
    assert found == pytest.approx(exact, rel=1e-4)


def test_without_drag_to_speak_of_it_falls_freely_with_its_added_mass() -> None:
    # s = a t^2/2, a = g (rho_b - rho)/(rho_b + rho/2)
    found = fall_time(1e-4, 0.022, ball_density=7800.0, density=1000.0, viscosity=1e-6)
    free = math.sqrt(2e-4 / (GRAVITY * 6800.0 / (7800.0 + 500.0)))
    assert found == pytest.approx(free, rel=0.01)


@costly(10)
@given(st.floats(1e-4, 0.01), st.floats(-3, 2), st.floats(0.0, 50.0), st.booleans())
def test_it_takes_no_less_than_at_its_steady_speed(
    rise: float, log_viscosity: float, spring: float, walled: bool
) -> None:
    how = {"density": 1300.0, "viscosity": 10.0**log_viscosity,
           "tube": 0.03 if walled else None, "spring": spring}  # fmt: skip
    found = fall_time(rise, 0.022, ball_density=7800.0, **how)
    steady = rise / fall_speed(0.022, 6500.0, **how)
    assert found >= steady * (1 - 1e-6)
    thicker = fall_time(rise, 0.022, ball_density=7800.0,
                        **{**how, "viscosity": 2 * how["viscosity"]})  # fmt: skip
    # the standard drag curve has a shallow dip near Re = 5,000, where thicker is a shade faster
    assert thicker > found * (0.98 if log_viscosity < -1 else 1.0)


def test_what_never_comes_back_is_said() -> None:
    with pytest.raises(BadInput, match="floats"):
        fall_time(0.003, 0.022, ball_density=900.0, density=1300.0, viscosity=1.0)
    with pytest.raises(NoAnswer, match="day"):
        fall_time(0.003, 0.022, ball_density=1300.001, density=1300.0, viscosity=1e5)
