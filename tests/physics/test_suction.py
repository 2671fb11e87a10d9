"""The suction side, against the standard atmosphere and the theory of the crank."""

from __future__ import annotations

import math

import pytest
from closed_forms import crank_head
from fluids.atmosphere import ATMOSPHERE_1976

from wetend.physics.suction import (
    ACCELERATION_CONSTANT,
    ATMOSPHERE,
    COMPRESSIBILITY_FACTOR,
    GRAVITY,
    acceleration_head,
    atmosphere_at,
    greatest_lift,
    npsh_available,
    reversal_pressure,
    static_head,
    suction_pressure,
    vapour_margin,
)


@pytest.mark.parametrize("altitude", [0.0, 500.0, 1000.0, 2500.0, 4000.0])
def test_standard_atmosphere_against_the_fluids_library(altitude: float) -> None:
    assert atmosphere_at(altitude) == pytest.approx(ATMOSPHERE_1976(altitude).P, rel=1e-3)


def test_table_constant_of_a_simplex_is_the_theory_of_the_crank() -> None:
    # Hydraulic Institute C = 0.200 (from memory): the peak of sinusoidal motion, a fifth more for
    # a connecting rod five times the crank. Mean speed in the line is 2 S f A/a.
    stroke, rate, ratio, length = 0.3, 1.5, 4.0, 5.0
    mean = 2 * stroke * rate * ratio
    theory = 1.2 * crank_head(length, ratio, stroke, rate)
    table = acceleration_head(
        length, mean, rate, constant=ACCELERATION_CONSTANT["simplex double-acting"], factor=1.0
    )
    assert table == pytest.approx(theory, rel=0.02)
    single = ACCELERATION_CONSTANT["simplex single-acting"]
    assert single == 2 * ACCELERATION_CONSTANT["simplex double-acting"]


def test_more_cylinders_pull_more_evenly_and_stiff_liquids_cost_most() -> None:
    many = [ACCELERATION_CONSTANT[n] for n in ("triplex", "quintuplex", "septuplex", "nonuplex")]
    assert many == sorted(many, reverse=True)
    assert min(COMPRESSIBILITY_FACTOR.values()) == COMPRESSIBILITY_FACTOR["water without air"]


def test_margin_is_nought_at_the_greatest_lift() -> None:
    spent = {"loss": 12000.0, "acceleration": 5000.0}
    lift = greatest_lift(1420.0, 1098.0, **spent)
    pressure = suction_pressure(1420.0, lift, **spent)
    assert vapour_margin(pressure, 1098.0) == pytest.approx(0.0, abs=1e-6)
    assert npsh_available(pressure, 1098.0, 1420.0) == pytest.approx(0.0, abs=1e-9)


def test_nothing_lifts_water_past_ten_metres() -> None:
    # textbook fact: the standard atmosphere holds up 10.33 m of water
    assert greatest_lift(1000.0, 0.0) == pytest.approx(10.33, abs=0.01)
    assert suction_pressure(1000.0, 11.0) < 0


def test_below_the_liquid_the_suction_is_flooded() -> None:
    assert suction_pressure(1000.0, -2.0) == pytest.approx(ATMOSPHERE + 2000 * GRAVITY)
    assert static_head(1000.0, -2.0) < 0


def test_reversal_is_newtons_second_law_on_the_column() -> None:
    # 2 kg of liquid in a 2 m line of 1e-3 m2, sped up by 4 m/s in half a second: 16 N
    assert reversal_pressure(1000.0, 2.0, 4.0, speed=1.0, time=0.5) * 1e-3 == pytest.approx(16.0)


def test_crank_peak_is_the_reversal_pressure_of_its_start() -> None:
    stroke, rate, length, ratio = 0.2, 1.0, 3.0, 5.0
    peak = static_head(900.0, crank_head(length, ratio, stroke, rate))
    moment = 1e-5
    speed = math.pi * stroke * rate * math.sin(2 * math.pi * rate * moment)
    assert reversal_pressure(900.0, length, ratio, speed=speed, time=moment) == pytest.approx(
        peak, rel=1e-6
    )
