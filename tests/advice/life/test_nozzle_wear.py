"""Wear of a nozzle by pail and by fan, against the flow's own law and by simulation."""

import math

import numpy as np
import pytest

from wetend.advice.life.nozzle_wear import (
    DENSITY_SPREAD,
    GAUGE_SPREAD,
    VOLUME_SPREAD,
    WORN_OUT,
    grown,
    grown_by_fan,
    grown_by_flow,
)
from wetend.physics.nozzle import orifice_flow, pressure_after_wear
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_pump
from wetend.pump.usage import NozzleMeasured

NOZZLE = demo_pump("quay-air").nozzle


def flow(growth: float, pressure: float = 180e5, density: float = 1300.0) -> float:
    """Second route: the flow's own law forwards, at the grown hole."""
    hole = NOZZLE.orifice * (1 + growth)
    coefficient = NOZZLE.discharge_coefficient
    return float(orifice_flow(pressure, hole, density=density, discharge_coefficient=coefficient))


@pytest.mark.parametrize("growth", [0.0, 0.05, 0.118, 0.3])
def test_the_pail_gives_back_the_growth_that_made_its_flow(growth: float) -> None:
    got, error = grown_by_flow(NOZZLE, volume=30 * flow(growth), time=30.0, pressure=180e5,
                               density=1300.0)  # fmt: skip
    assert got == pytest.approx(growth, abs=1e-9)
    assert 0.02 < error / (1 + growth) < 0.03


def test_its_uncertainty_is_that_of_readings_drawn() -> None:
    # second route: Monte Carlo (JCGM 101) of the same readings
    rng = np.random.default_rng(3)
    n = 4000
    volume = 30 * flow(0.1) * (1 + VOLUME_SPREAD * rng.standard_normal(n))
    pressure = 180e5 * (1 + GAUGE_SPREAD * rng.standard_normal(n))
    density = 1300.0 * (1 + DENSITY_SPREAD * rng.standard_normal(n))
    drawn = [
        grown_by_flow(NOZZLE, volume=v, time=30.0, pressure=p, density=d)[0]
        for v, p, d in zip(volume, pressure, density, strict=True)
    ]
    told = grown_by_flow(NOZZLE, volume=30 * flow(0.1), time=30.0, pressure=180e5, density=1300.0)
    assert np.std(drawn) == pytest.approx(told[1], rel=0.05)
    assert np.mean(drawn) == pytest.approx(told[0], abs=0.002)


def test_worn_out_is_a_quarter_more_flow_and_leaves_two_thirds_of_the_pressure() -> None:
    assert flow(WORN_OUT) == pytest.approx(1.25 * flow(0.0))
    # at the same flow the pressure goes with the square of flow: 1 / 1.25**2
    assert pressure_after_wear(WORN_OUT) == pytest.approx(0.64)


def test_the_fan_counts_as_worn_out_when_a_quarter_is_gone() -> None:
    assert grown_by_fan((0.225, 0.225), 0.30)[0] == pytest.approx(WORN_OUT)
    assert grown_by_fan((0.31,), 0.30)[0] == 0.0
    one, four = grown_by_fan((0.25,), 0.30), grown_by_fan((0.25,) * 4, 0.30)
    assert one[0] == pytest.approx(four[0])
    assert one[1] > four[1]
    assert one[1] == pytest.approx(WORN_OUT / 0.25 * 0.05 * math.sqrt(2))


def test_the_pail_counts_before_the_fan_and_a_test_half_done_says_nothing() -> None:
    both = NozzleMeasured(volume=30 * flow(0.05), time=30.0, pressure=180e5, fan=(0.2,),
                          fan_new=0.3)  # fmt: skip
    told = grown(NOZZLE, both, 1300.0)
    assert told is not None
    assert told[0] == pytest.approx(0.05, abs=1e-9)
    assert grown(NOZZLE, both.model_copy(update={"density": 1000.0}), 1300.0) != told
    seen = CheckReadings(bucket_volume=30 * flow(0.05), bucket_time=30.0, spray_pressure=180e5)
    assert grown(NOZZLE, seen, 1300.0) == told
    assert grown(NOZZLE, CheckReadings(bucket_volume=0.001), 1300.0) is None
