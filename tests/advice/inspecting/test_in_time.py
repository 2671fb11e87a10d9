"""The leak a judgement tells, against the pump played in time with the same damage in it.

Two routes: the judgement adds what a passage costs in closed form; the model in time moves rod and
balls and swells the hose, and shows the leak as the rod's creep at stall and as stroke lost.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from wetend.advice.inspecting.damage import limits_of, viscosity_in, working_pressure
from wetend.advice.inspecting.rod import score
from wetend.advice.inspecting.valve import _chip
from wetend.advice.inspection import judge
from wetend.advice.simulation import motion_parameters
from wetend.physics.leakage import passage_flow
from wetend.physics.motion.parameters import Leak, MotionParameters
from wetend.physics.motion.simulate import simulate_stall
from wetend.pump.measurements import CylinderMeasured, SeatMeasured
from wetend.pump.toml import demo_coatings, demo_pump

COATING = next(c for c in demo_coatings() if c.key == "alkyd-topcoat")  # newtonian
LIMITS = {key: limits_of(demo_pump(key), COATING) for key in ("quay-air", "yard-hydraulic")}


def leak_of(path, key: str) -> Leak:
    """The damage's own passage as the model in time takes it: viscous and inertial, each alone."""
    limits = LIMITS[key]
    pressure, viscosity = working_pressure(limits), viscosity_in(limits, path)
    slow = pressure / (path.passage.drag * viscosity)
    fast = math.sqrt(pressure / (path.passage.head * limits.liquid.density))
    return Leak(slow, fast, pressure)


def played(key: str, **leaks: Leak) -> MotionParameters:
    parameters = motion_parameters(demo_pump(key), COATING)
    return replace(parameters, leaks=replace(parameters.leaks, **leaks))


def settled(parameters: MotionParameters, *, up: bool) -> tuple[float, float]:
    """Gauge and creep at stall once the hose has settled, before the rod comes to its end."""
    trace = simulate_stall(parameters, up=up, seconds=30.0)
    stroke = parameters.chambers.stroke
    free = (trace.x > 0.05 * stroke) & (trace.x < 0.95 * stroke)
    last = int(np.flatnonzero(free)[-1])
    return float(trace.gauge[last]), abs(float(trace.v[last]))


CASES = [
    ("foot_seat", SeatMeasured(chip_depth=90e-6, chip_width=1e-3, band_width=1e-3)),
    ("foot_seat", SeatMeasured(chip_depth=60e-6, band_width=1e-3)),
    ("score", CylinderMeasured(score_depth=150e-6, score_width=1e-3, score_direction="lengthwise")),
]


@pytest.mark.parametrize("key", sorted(LIMITS))
@pytest.mark.parametrize(("where", "measured"), CASES, ids=["wide chip", "chip", "score"])
def test_the_rod_creeps_at_stall_by_just_the_leak_told(key: str, where: str, measured) -> None:
    pump, limits = demo_pump(key), LIMITS[key]
    told = judge(pump, COATING, measured)
    if where == "foot_seat":
        path, up, area = _chip(pump.foot_valve, measured), False, pump.rod_area
    else:
        height = pump.moving_packings.height
        path = score(measured.score_depth, measured.score_width, height, "moving packings")
        up, area = True, pump.upper_area
    pressure, creep = settled(played(key, **{where: leak_of(path, key)}), up=up)
    viscosity = viscosity_in(limits, path)
    density = limits.liquid.density
    at_stall = passage_flow(path.passage, pressure, viscosity=viscosity, density=density)
    assert creep * area == pytest.approx(at_stall, rel=0.03)
    # and the leak told is that of the same passage at working pressure
    at_work = passage_flow(
        path.passage, working_pressure(limits), viscosity=viscosity, density=density
    )
    assert told.leak == pytest.approx(at_work, rel=1e-6)
