"""What the hose's compliance does to a sound pump's strokes."""

from __future__ import annotations

import pytest

from wetend.advice.hose.compliance import spraying
from wetend.advice.hose.trim import trim_of
from wetend.advice.pump_physics import liquid_of, stroke_parameters
from wetend.physics.stroke.steady import steady
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

COATING = demo_coatings()[0]


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_ratios_are_those_of_the_readings(key: str) -> None:
    pump = demo_pump(key)
    liquid = liquid_of(COATING)
    parameters = stroke_parameters(pump, liquid)
    state = steady(parameters)
    seen = spraying(pump, liquid, parameters, state)
    trim = trim_of(pump, liquid)
    assert trim.up_time == pytest.approx(float((seen.up_time / state.up.time)[0]))
    assert trim.spray_pressure == pytest.approx(float((seen.gauge / state.gauge)[0]))
    steady_volume = float((state.flow / state.cycle_rate)[0])
    assert trim.cycle_volume == pytest.approx(float(seen.cycle_volume[0]) / steady_volume)
