"""What suction line and balls of a pump do to its cycle, by the viscosity of what is drawn."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.hose.wet_end import WetEnd, wet_end_of
from wetend.errors import BadInput
from wetend.keeping import MB, kept
from wetend.physics.cycle.given import ATMOSPHERE, VAPOUR
from wetend.physics.hose import hose_loss
from wetend.physics.motion.parameters import BallValve
from wetend.physics.rheology.flow import effective_viscosity
from wetend.physics.rheology.liquid import Liquid, thickened
from wetend.physics.stroke.gap import LEAST_INDEX
from wetend.physics.stroke.losses import LossTable, tabulate
from wetend.physics.suction import static_head
from wetend.physics.valves import Seat, contact_diameter, fall_speed, seat_opening
from wetend.pump.description import Pump
from wetend.units.constants import GRAVITY
from wetend.units.quantity import M, MPerS

Array = NDArray[np.float64]

SPEEDY = 0.9
"""Pace, over the free one, at which a ball is carried home."""
_SCALES = np.geomspace(0.1, 10.0, 9)
"""Viscosities, over the described one, at which suction and balls are tabulated."""
_SNUG = 0.9
"""Ball over tube, above which the wall's drag is taken as there."""
_HALF_WAY = 0.7
"""Share of the lift at which its speed is taken."""
_INERT = 0.1
"""How far a ball's own inertia delays it: fitted to the model in time, on 200 random pumps."""


@dataclass(frozen=True, eq=False)
class Inlet:
    """What suction and balls do by viscosity, of a pump with a liquid."""

    lift: float
    """Pressure under the atmosphere with nothing flowing, Pa."""
    table: LossTable
    """Loss along the suction line."""
    through: LossTable
    """Loss through the piston valve, its ball at its stop."""
    vortex: float
    """Pa s^2/m^6 lost at its ends."""
    intake: Array
    """Most that the suction brings, m^3/s, at each of the viscosities."""
    falls: tuple[Array, Array]
    """Speeds at which the balls of foot valve and piston valve sink, m/s."""
    carried: tuple[Array, Array]
    """How much faster each is carried home, over the pace of the rod."""
    wet_end: WetEnd

    def at(self, values: Array, viscosity: Array) -> Array:
        """Of values tabulated by viscosity, those at these viscosities."""
        logs = np.interp(np.log(viscosity), np.log(_SCALES), np.log(values))
        return np.asarray(np.exp(logs))


def _past_ball(valve: BallValve, liquid: Liquid, flows: Array, lift: M) -> Array:
    """Pressure lost past a lifted ball, as :func:`wetend.physics.motion.passages.curtain`."""
    seat = Seat(valve.ball_diameter, valve.half_angle, valve.seat_bore, valve.seat_width)
    area = float(seat_opening(seat, np.array([lift]))[0])
    fast = valve.discharge * area * math.sqrt(2.0 / liquid.density)
    power = 1.0 / max(liquid.index, LEAST_INDEX)
    contact = contact_diameter(valve.ball_diameter, valve.half_angle)
    gap = lift * math.sin(valve.half_angle)
    slow = math.pi * contact / (2.0 * (2.0 + power)) * gap ** (2.0 + power)
    slow *= (1.0 / (2.0 * valve.seat_width * liquid.consistency)) ** power
    low, high = np.zeros_like(flows), np.full_like(flows, 60.0)  # of ln(1 + pressure)
    for _ in range(60):
        middle = 0.5 * (low + high)
        drop = np.maximum(np.expm1(middle), 1e-9)
        short = flows / (slow * drop**power) + (flows / fast) ** 2 / drop > 1.0
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.asarray(np.where(flows > 0.0, np.expm1(low), 0.0))


def _falls(valve: BallValve, wet_end: WetEnd) -> Array:
    """Speed at which a ball sinks, at each of the viscosities."""
    liquid, bore = wet_end.liquid, wet_end.chambers.bore_area
    pace = SPEEDY * bore * wet_end.free_speed / (math.pi / 4 * valve.tube**2)
    tube = max(valve.tube, valve.ball_diameter / _SNUG)
    found = []
    for scale in _SCALES:
        thick = thickened(liquid, float(scale))
        viscosity = float(effective_viscosity(thick, max(pace / valve.ball_diameter, 1.0)))
        try:
            speed = fall_speed(
                valve.ball_diameter, valve.ball_density - liquid.density, density=liquid.density,
                viscosity=viscosity, tube=tube, spring=valve.spring,
            )  # fmt: skip
        except BadInput:
            speed = 0.0
        found.append(max(speed, 1e-6))
    return np.array(found)


def _carried(valve: BallValve, wet_end: WetEnd, falls: Array, pace: MPerS) -> Array:
    """How much faster a ball goes home with the rod at a pace, over that pace.

    At a lift where it is half-way, its weight, the drag of what passes it and the pressure lost
    past it are in balance; drag in proportion to speed, as its fall says.
    """
    liquid, bore = wet_end.liquid, wet_end.chambers.bore_area
    contact = math.pi / 4 * contact_diameter(valve.ball_diameter, valve.half_angle) ** 2
    weight = (valve.ball_density - liquid.density) * math.pi / 6 * valve.ball_diameter**3
    weight = max(weight * GRAVITY, 0.0) + valve.spring
    speeds = np.linspace(0.0, 1.0, 60) * bore * pace / contact
    passed = bore * pace - contact * speeds
    found = []
    for scale, fall in zip(_SCALES, falls, strict=True):
        thick = thickened(liquid, float(scale))
        push = _past_ball(valve, thick, passed, _HALF_WAY * valve.lift) * contact
        drag = weight / fall * (passed / (math.pi / 4 * valve.tube**2) - speeds)
        home = np.maximum.accumulate(-(weight + push + drag))
        found.append(max(float(np.interp(0.0, home, speeds)) - fall, 0.0) / pace)
    return np.asarray(np.maximum(np.array(found), 1e-6))


@kept("suction and balls", most=8 * MB)
def inlet_of(pump: Pump, liquid: Liquid) -> Inlet:
    """Of this pump with this liquid."""
    wet_end = wet_end_of(pump, liquid)
    line = wet_end.suction
    most = 3.0 * wet_end.chambers.bore_area * wet_end.free_speed

    def loss(flows: Array, scale: float) -> Array:
        thick = thickened(liquid, scale)
        along = hose_loss(thick, flows, line.bore, line.length)
        return np.asarray(
            along + _past_ball(wet_end.foot_valve, thick, flows, wet_end.foot_valve.lift)
        )

    def through(flows: Array, scale: float) -> Array:
        valve = wet_end.piston_valve
        return _past_ball(valve, thickened(liquid, scale), flows, valve.lift)

    table = tabulate(loss, flow_high=most)
    vortex = line.velocity_heads * liquid.density / 2 / (math.pi / 4 * line.bore**2) ** 2
    lift = static_head(liquid.density, line.lift)
    reader = table.reader(_SCALES)
    low, high = np.zeros(len(_SCALES)), np.full(len(_SCALES), 4.0 * most)
    for _ in range(40):
        flow = 0.5 * (low + high)
        brought = lift + reader.at(flow)[0] + vortex * flow * flow < ATMOSPHERE - 2.0 * VAPOUR
        low, high = np.where(brought, flow, low), np.where(brought, high, flow)
    foot, piston = _falls(wet_end.foot_valve, wet_end), _falls(wet_end.piston_valve, wet_end)
    pace = SPEEDY * wet_end.free_speed
    carried = (
        _carried(wet_end.foot_valve, wet_end, foot, pace),
        _carried(wet_end.piston_valve, wet_end, piston, 0.5 * pace),
    )
    return Inlet(
        lift, table, tabulate(through, flow_high=most), vortex, np.maximum(low, 1e-12),
        (foot, piston), carried, wet_end,
    )  # fmt: skip


def late(inlet: Inlet, which: int, viscosity: Array, held: Array, pace: Array) -> Array:
    """Share of the stroke lost to a ball that is carried home by the liquid it should hold.

    While the rod stands it sinks, then it is carried; at first its own inertia holds it.

    Args:
        inlet: of the pump and liquid.
        which: 0 for the foot valve, 1 for the piston valve.
        viscosity: over the described one.
        held: time that the rod stands, s.
        pace: of the rod as it carries the ball, m/s.
    """
    wet_end = inlet.wet_end
    valve = (wet_end.foot_valve, wet_end.piston_valve)[which]
    density = wet_end.liquid.density
    falls = inlet.at(inlet.falls[which], viscosity)
    gain = GRAVITY * (valve.ball_density - density) / (valve.ball_density + 0.5 * density)
    slow = falls / max(gain, 1e-3)
    sunk = falls * (held - slow * -np.expm1(-held / slow))
    left = np.maximum(valve.lift - sunk, 0.0)
    way = left / (falls + pace * inlet.at(inlet.carried[which], viscosity))
    time = 0.5 * way + np.sqrt(0.25 * way * way + _INERT * slow * way)
    return np.asarray(pace * time / wet_end.chambers.stroke)
