"""A pump's figures as the model in time carries them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from wetend.physics.motion import layout as at
from wetend.physics.motion.packing import highest_pressure, pack
from wetend.physics.motion.parameters import AeratedLiquid
from wetend.physics.rheology.liquid import Liquid


@pytest.mark.parametrize(
    ("where", "room", "valve"),
    [(at.P_DEAD_BELOW, "dead_below", "foot_valve"),
     (at.P_DEAD_ABOVE, "dead_above", "piston_valve")],
)  # fmt: skip
def test_a_chamber_keeps_the_unswept_room_and_that_its_ball_rises_in(pump, where, room, valve):
    """The ball sweeps the circle it sits on: d cos(alpha), the cone's half angle."""
    made = pump()
    ball = getattr(made, valve)
    rises = math.pi / 4 * (ball.ball_diameter * math.cos(ball.half_angle)) ** 2 * ball.lift
    assert pack(made)[where] == pytest.approx(getattr(made.chambers, room) + rises)
    larger = replace(made, chambers=replace(made.chambers, **{room: 1e-4}))
    assert pack(larger)[where] == pytest.approx(1e-4 + rises)
    none = replace(made, chambers=replace(made.chambers, **{room: 0.0}))
    swept = made.chambers.bore_area * made.chambers.stroke
    assert pack(none)[where] == pytest.approx(1e-3 * swept + rises)  # never without any


def test_the_drive_presses_hardest_on_the_smaller_area(pump):
    chambers = pump().chambers
    upper = chambers.bore_area - chambers.rod_area
    assert highest_pressure(pump()) == pytest.approx(
        pump().drive.force / min(upper, chambers.rod_area)
    )


def test_a_coating_carries_a_little_air_unless_said_otherwise(pump):
    """Three thousandths of its volume undissolved: common practice, no source."""
    liquid = Liquid("newtonian", 1180.0, 0.0, 0.28, 1.0)
    assert pack(pump())[at.P_AIR] == 0.003
    assert AeratedLiquid(liquid).bulk_modulus == 1.6e9
