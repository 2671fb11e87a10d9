"""Pressures, flows and forces of one state of the model in time, each against its plain law."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from wetend.physics.hose import hose_loss
from wetend.physics.motion.instant import drive_target, suction_loss
from wetend.physics.motion.packing import pack
from wetend.physics.motion.parameters import Drive

LITRE_A_MINUTE = 1e-3 / 60


@pytest.mark.parametrize("flow", [1.0, 6.0, 20.0])
@pytest.mark.parametrize("blocked", [0.0, 3e8])
def test_the_suction_loses_drag_blockage_and_velocity_heads(pump, flow: float, blocked: float):
    """K rho v^2 / 2 on top of the tube's law, alike both ways."""
    made = pump()
    suction = replace(made.suction, blocked=blocked, velocity_heads=2.5)
    p, q = pack(replace(made, suction=suction)), flow * LITRE_A_MINUTE
    liquid = made.liquid.liquid
    speed = q / (math.pi / 4 * suction.bore**2)
    tube = float(hose_loss(liquid, q, suction.bore, suction.length))
    by_hand = tube + blocked * q + 2.5 * liquid.density * speed**2 / 2
    assert suction_loss(p, q)[0] == pytest.approx(by_hand, rel=2e-3)
    assert suction_loss(p, -q)[0] == pytest.approx(-by_hand, rel=2e-3)


@pytest.mark.parametrize("flow", [-9.0, -0.5, 0.3, 4.0, 15.0])
def test_its_slope_is_that_of_the_loss(pump, flow: float):
    made = pump()
    suction = replace(made.suction, blocked=1e8, velocity_heads=2.5)
    p, q = pack(replace(made, suction=suction)), flow * LITRE_A_MINUTE
    step = 1e-5 * abs(q)
    less, more = (suction_loss(p, q + way * step)[0] for way in (-1, 1))
    assert (more - less) / (2 * step) == pytest.approx(suction_loss(p, q)[1], rel=1e-5)


@pytest.mark.parametrize(
    ("gauge", "share"), [(1.9e7, 1.0), (2e7, 1.0), (2.05e7, 0.5), (2.1e7, 0.0), (3e7, 0.0)]
)
def test_a_drive_that_watches_its_pressure_lets_go_over_a_twentieth_above_its_setting(
    pump, gauge: float, share: float
):
    drive: Drive = replace(pump().drive, control=2e7)
    found, slope = drive_target(pack(replace(pump(), drive=drive)), gauge)
    assert found == pytest.approx(share)
    assert slope == pytest.approx(-1 / 1e6 if 0 < share < 1 else 0.0)
    assert drive_target(pack(pump()), gauge) == (1.0, 0.0)
