"""Balls, chambers and suction line of a described pump, as the physics of motion takes them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.advice.pump_physics import fastest
from wetend.errors import UnknownName
from wetend.materials.ball_seat import find_material
from wetend.physics.motion.parameters import BallValve, Chambers, SuctionLine
from wetend.physics.rheology.liquid import Liquid
from wetend.pump.description import Pump
from wetend.pump.parts import Valve
from wetend.units.quantity import KgPerM3, M, MPerS, N

STEEL: KgPerM3 = 7850.0


def _tube(valve: Valve, bore: M) -> M:
    """Bore round a ball: as described, or with twice its seat's hole left open round it."""
    return max(bore, math.sqrt(valve.ball_diameter**2 + 2 * valve.seat_bore**2))


def ball_of(valve: Valve, density: KgPerM3, *, bore: M, lift: M | None, stick: N) -> BallValve:
    """A valve whose ball has this density, in a tube of this bore."""
    return BallValve(
        ball_diameter=valve.ball_diameter,
        ball_density=density,
        half_angle=valve.seat_half_angle,
        seat_bore=valve.seat_bore,
        seat_width=valve.seat_width,
        lift=valve.lift_middle if lift is None else lift,
        tube=_tube(valve, bore),
        spring=valve.spring_force,
        stick=stick,
    )


def chambers_of(pump: Pump) -> Chambers:
    """Areas, and half the sleeve left over by stroke and packings as dead room at either end."""
    spare = pump.cylinder.length - pump.stroke - pump.moving_packings.height
    dead = max(0.5 * spare, 0.1 * pump.stroke)
    return Chambers(
        pump.bore_area, pump.rod_area, pump.stroke, pump.bore_area * dead, pump.upper_area * dead
    )


def suction_of(pump: Pump, blocked: float = 0.0) -> SuctionLine:
    """The suction tube, with an elbow and housing two ball diameters long."""
    line = pump.suction
    head = math.pi / 4 * line.bore**2 * 2 * pump.foot_valve.ball_diameter
    return SuctionLine(line.bore, line.length, line.lift, head, blocked=blocked)


@dataclass(frozen=True, eq=False)
class WetEnd:
    """A sound wet end with a liquid in it."""

    liquid: Liquid
    foot_valve: BallValve
    piston_valve: BallValve
    chambers: Chambers
    suction: SuctionLine
    free_speed: MPerS


def _density(valve: Valve) -> KgPerM3:
    """Of its ball; of one whose material is not known, that of steel."""
    try:
        return find_material(valve.ball_material).density
    except UnknownName:
        return STEEL


def wet_end_of(pump: Pump, liquid: Liquid) -> WetEnd:
    """As described."""
    foot, piston = pump.foot_valve, pump.piston_valve
    bore = pump.cylinder.bore
    return WetEnd(
        liquid=liquid,
        foot_valve=ball_of(foot, _density(foot), bore=bore, lift=None, stick=0.0),
        piston_valve=ball_of(piston, _density(piston), bore=0.0, lift=None, stick=0.0),
        chambers=chambers_of(pump),
        suction=suction_of(pump),
        free_speed=fastest(pump),
    )
