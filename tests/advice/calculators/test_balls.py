"""Balls as people type them."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput
from wetend.physics.valves import wall_factor

OPENING = {"ball_diameter": "22 mm", "half_angle": "45 deg", "seat_bore": "14 mm",
           "seat_width": "4 mm", "lift": "3 mm"}  # fmt: skip


def run(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


def test_a_ball_falls_as_in_the_textbook() -> None:
    # Subramanya, 1000 Solved Problems, ex. 9.4, as transcribed in the FOSSEE Python Textbook
    # Companions: 2 mm of relative density 2.6 in oil of 917 falls at 1.25 cm/s if mu = 0.293 Pa s
    out = run("ball-fall", diameter="2 mm", ball_density="2595", liquid_density="917",
              viscosity="0.2926").outcome.values  # fmt: skip
    assert out["velocity"] == pytest.approx(0.0125, rel=0.02)
    assert out["reynolds"] == pytest.approx(0.078, rel=0.02)
    assert "time" not in out


def test_a_tube_slows_a_slow_ball_by_the_wall_factor() -> None:
    ball = {"diameter": "5 mm", "ball_density": "7800", "liquid_density": "1000",
            "viscosity": "500"}  # fmt: skip
    free = run("ball-fall", **ball).outcome.values["velocity"]
    walled = run("ball-fall", **ball, tube_diameter="10 mm").outcome.values["velocity"]
    assert free / walled == pytest.approx(wall_factor(0.5), rel=1e-3)


def test_balls_that_can_not_fall_are_refused() -> None:
    ball = {"diameter": "5 mm", "viscosity": "0.1", "liquid_density": "1300"}
    with pytest.raises(BadInput, match="floats"):
        run("ball-fall", **ball, ball_density="1200")
    with pytest.raises(BadInput, match="smaller than the tube"):
        run("ball-fall", **ball, ball_density="7800", tube_diameter="5 mm")


def test_full_lift_is_at_most_the_hole_and_a_stiff_spring_holds_the_ball_down() -> None:
    wide = run("valve-opening", **{**OPENING, "lift": "20 mm"}).outcome.values
    assert wide["area"] == pytest.approx(math.pi / 4 * 0.014**2)
    held = run("valve-opening", **OPENING, flow="4 L/min", pull="20 N")
    assert held.outcome.values["rise"] < 0.003
    assert any("stop" in c for c in held.cautions)
    free = run("valve-opening", **OPENING, flow="4 L/min")
    assert free.outcome.values["rise"] == pytest.approx(0.003)
    assert free.outcome.values["pressure_loss"] < held.outcome.values["pressure_loss"]
    with pytest.raises(BadInput, match="no larger"):
        run("valve-opening", **{**OPENING, "seat_bore": "22 mm"})
