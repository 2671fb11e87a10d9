"""Parameters as the one array the compiled model reads, with losses and openings as curves."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.keeping import MB, kept
from wetend.monotone_curve import rising
from wetend.physics.hose import hose_loss
from wetend.physics.motion import layout as at
from wetend.physics.motion.layout import CURVE_SIZE, KNOTS
from wetend.physics.motion.parameters import BallValve, Hose, Leak, MotionParameters, SuctionLine
from wetend.physics.rheology.flow import effective_viscosity
from wetend.physics.rheology.liquid import Liquid, thickened
from wetend.physics.stroke.gap import LEAST_INDEX
from wetend.physics.valves import Seat, contact_diameter, seat_opening, wall_factor
from wetend.units.constants import GRAVITY
from wetend.units.quantity import M, M3PerS, Pa

Array = NDArray[np.float64]


_SAMPLES = 200
_MOST = MB
"""Curves kept: a pump is played many times, spraying and stalled, with one fault after another, and
its tube, hoses and liquid stay the same."""


def odd_curve(x: Array, y: Array) -> Array:
    """A curve for :func:`.passages.curve` through points that start at (0, 0) and rise.

    Knots lie evenly in the square root of x, where a square-root or a power law is smooth.
    """
    root = np.sqrt(x / x[-1])
    value, slope = rising(root, y, np.linspace(0.0, 1.0, KNOTS))
    found = np.empty(CURVE_SIZE)
    found[0] = x[-1]
    found[1 : 1 + KNOTS] = value
    found[1 + KNOTS :] = slope
    found.flags.writeable = False
    return found


def _greatest_flow(parameters: MotionParameters) -> float:
    return 2.0 * parameters.chambers.bore_area * parameters.drive.free_speed


def suction_curve(parameters: MotionParameters) -> Array:
    """Pressure lost along the suction tube against flow."""
    line, liquid = parameters.suction, parameters.liquid.liquid
    return _suction_curve(liquid, line.bore, line.length, _greatest_flow(parameters))


@kept("curves of suction lines", most=_MOST)
def _suction_curve(liquid: Liquid, bore: M, length: M, most: M3PerS) -> Array:
    flows = np.linspace(0.0, 1.0, _SAMPLES) ** 2 * most
    lost = hose_loss(liquid, flows, bore, length)
    lost[0] = 0.0
    return odd_curve(flows, lost)


@kept("curves of valves", most=_MOST)
def opening_curve(valve: BallValve) -> Array:
    """Flow area of a lifted ball against its lift, up to its stop."""
    seat = Seat(valve.ball_diameter, valve.half_angle, valve.seat_bore, valve.seat_width)
    lifts = np.linspace(0.0, 1.0, _SAMPLES) ** 2 * valve.lift
    return odd_curve(lifts, seat_opening(seat, lifts))


def hose_curve(parameters: MotionParameters, highest: Pa) -> Array:
    """Flow along the whole hose string against pressure lost, up to ``highest`` Pa."""
    outlet = parameters.outlet
    liquid = thickened(parameters.liquid.liquid, outlet.viscosity_scale)
    line = _Line(liquid, outlet.hoses, outlet.line_resistance)
    return _hose_curve(line, _greatest_flow(parameters), highest)


@dataclass(frozen=True)
class _Line:
    """A hose string with what flows in it."""

    liquid: Liquid
    hoses: tuple[Hose, ...]
    resistance: float
    """Pa s/m^3 more."""


@kept("curves of hoses", most=_MOST)
def _hose_curve(line: _Line, most: M3PerS, highest: Pa) -> Array:
    def lost(flows: Array) -> Array:
        each = [hose_loss(line.liquid, flows, h.bore, h.length) for h in line.hoses]
        return np.asarray(np.sum(each, axis=0) + line.resistance * flows)

    for _ in range(60):
        if float(lost(np.array([most]))[0]) <= highest:
            break
        most *= 0.5
    most *= 2.0
    flows = np.linspace(0.0, 1.0, _SAMPLES) ** 2 * most
    losses = lost(flows)
    rising = np.concatenate([[True], np.diff(losses) > 0]) & (losses > 0)
    return odd_curve(
        np.concatenate([[0.0], losses[rising]]), np.concatenate([[0.0], flows[rising]])
    )


SNUG = 0.9
"""Ball over tube above which the wall's drag is taken as there: the law runs off to infinity."""
_SHARP = 1000.0
_SHARP_AT = 1e7
_LEAST_FILTER = 1e4
_LEAST_TIME = 2e-4


def _power(parameters: MotionParameters) -> float:
    return 1.0 / max(parameters.liquid.liquid.index, LEAST_INDEX)


def _ball(parameters: MotionParameters, valve: BallValve, opening: int) -> list[float]:
    """One ball's parameters in the order of the layout."""
    liquid = parameters.liquid.liquid
    diameter, angle = valve.ball_diameter, valve.half_angle
    contact = contact_diameter(diameter, angle)
    volume = math.pi / 6 * diameter**3
    swim = (valve.ball_density - liquid.density) * volume
    power = _power(parameters)
    slit = math.pi * contact / (2 * (2 + power))
    slit *= (1 / (2 * valve.seat_width * liquid.consistency)) ** power
    tube = math.pi / 4 * valve.tube**2
    typical = parameters.chambers.bore_area * parameters.drive.free_speed / 3 / tube
    viscosity = float(effective_viscosity(liquid, typical / diameter))
    wall = wall_factor(min(diameter / valve.tube, SNUG)) - 1.0
    return [
        math.pi / 4 * contact**2,
        (valve.ball_density + 0.5 * liquid.density) * volume,
        swim,
        swim * GRAVITY,
        valve.spring,
        valve.lift,
        valve.stick,
        math.sin(angle),
        opening,
        slit,
        tube,
        math.pi / 8 * liquid.density * diameter**2,
        24 * viscosity / (liquid.density * diameter),
        3 * math.pi * viscosity * diameter * wall,
    ]


def _leak(leak: Leak, power: float) -> tuple[float, float]:
    return leak.slow / leak.reference**power, leak.fast / math.sqrt(leak.reference)


def head_volume(suction: SuctionLine) -> float:
    """Volume that gives at the foot valve: elbow, housing and half the tube, m^3."""
    return suction.head_volume + math.pi / 8 * suction.bore**2 * suction.length


def _swing(parameters: MotionParameters) -> float:
    """Resistance to filling and emptying the suction head that damps the column's swing."""
    suction, liquid = parameters.suction, parameters.liquid
    inertia = liquid.liquid.density * suction.length / (math.pi / 4 * suction.bore**2)
    volume = head_volume(suction)
    give = suction.head_give + volume * (
        1 / liquid.bulk_modulus + liquid.free_air / liquid.atmosphere
    )
    return 2 * suction.swing_damping * math.sqrt(inertia / give)


def _ease(parameters: MotionParameters) -> tuple[float, float]:
    """Drag of the creeping rod that calms its swing on the liquid, and the speed it levels off at.

    Half of critical damping at mid-stroke; never more than two thousandths of the drive's force.
    """
    chambers, drive = parameters.chambers, parameters.drive
    upper = chambers.bore_area - chambers.rod_area
    half = 0.5 * chambers.stroke
    below = chambers.bore_area**2 / (chambers.dead_below + chambers.bore_area * half)
    above = upper**2 / (chambers.dead_above + upper * half)
    slope = math.sqrt(parameters.liquid.bulk_modulus * (below + above) * drive.mass)
    return slope, min(0.02 * drive.free_speed, 0.002 * drive.force / slope)


def _dead(parameters: MotionParameters) -> tuple[float, float]:
    """Unswept rooms with the room each ball rises in."""
    chambers = parameters.chambers
    least = 1e-3 * chambers.bore_area * chambers.stroke

    def rise(valve: BallValve) -> float:
        return (
            math.pi / 4 * contact_diameter(valve.ball_diameter, valve.half_angle) ** 2 * valve.lift
        )

    return (
        max(chambers.dead_below, least) + rise(parameters.foot_valve),
        max(chambers.dead_above, least) + rise(parameters.piston_valve),
    )


def highest_pressure(parameters: MotionParameters) -> float:
    """More than the drive can press, Pa."""
    chambers = parameters.chambers
    area = min(chambers.rod_area, chambers.bore_area - chambers.rod_area)
    return parameters.drive.force / area


def pack(parameters: MotionParameters) -> Array:
    """All parameters, balls, leaks and curves in one array."""
    p = np.zeros(at.PARAMETERS)
    liquid, drive, chambers = parameters.liquid, parameters.drive, parameters.chambers
    suction, outlet = parameters.suction, parameters.outlet
    density = liquid.liquid.density
    power = _power(parameters)
    upper = chambers.bore_area - chambers.rod_area
    area = math.pi / 4 * suction.bore**2
    volume = sum(math.pi / 4 * h.bore**2 * h.length for h in outlet.hoses)
    give = sum(h.growth for h in outlet.hoses)
    fast = 1 / math.sqrt(outlet.nozzle)
    least_filter = _LEAST_FILTER / (chambers.bore_area * drive.free_speed)
    p[: at.P_LEAKS] = [
        liquid.atmosphere, liquid.vapour_pressure, liquid.bulk_modulus,
        liquid.atmosphere - liquid.vapour_pressure, liquid.free_air, power,
        parameters.foot_valve.discharge * math.sqrt(2 / density),
        chambers.bore_area, upper, chambers.stroke, *_dead(parameters),
        head_volume(suction), suction.head_give,
        drive.mass, drive.force, drive.free_speed, drive.droop, drive.friction, drive.drag,
        *_ease(parameters),
        max(drive.reversal * drive.build_share, _LEAST_TIME),
        drive.reversal * (1 - drive.build_share),
        drive.control, 0.05 * drive.control,
        liquid.atmosphere - density * GRAVITY * suction.lift, density * suction.length / area,
        suction.blocked, suction.velocity_heads * density / (2 * area**2),
        _swing(parameters),
        1 / max(outlet.filter_resistance, least_filter), volume / outlet.nodes, give / outlet.nodes,
        _SHARP * fast / math.sqrt(_SHARP_AT), fast,
        parameters.gun.on, parameters.gun.off, 0.0,
    ]  # fmt: skip
    leaks = parameters.leaks
    paths = (leaks.foot_seat, leaks.piston_seat, leaks.packings, leaks.score,
             leaks.static_packings, leaks.outside)  # fmt: skip
    p[at.P_LEAKS : at.P_BALLS] = [v for path in paths for v in _leak(path, power)]
    p[at.P_BALLS : at.P_CURVES] = [
        *_ball(parameters, parameters.foot_valve, at.P_FOOT_OPENING),
        *_ball(parameters, parameters.piston_valve, at.P_PISTON_OPENING),
    ]  # fmt: skip
    p[at.P_SUCTION_CURVE : at.P_HOSE_CURVE] = suction_curve(parameters)
    p[at.P_HOSE_CURVE : at.P_FOOT_OPENING] = hose_curve(parameters, highest_pressure(parameters))
    p[at.P_FOOT_OPENING : at.P_PISTON_OPENING] = opening_curve(parameters.foot_valve)
    p[at.P_PISTON_OPENING :] = opening_curve(parameters.piston_valve)
    return p
