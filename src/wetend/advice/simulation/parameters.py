"""From a pump and a coating as described, and how it stands, to the model in time.

The same :class:`Condition` that feeds the steady model feeds this one, so that the two can be held
against each other.
"""

from __future__ import annotations

import math

import numpy as np

from wetend.advice.hose.wet_end import STEEL, ball_of, chambers_of, suction_of
from wetend.advice.pump_physics import (
    Condition,
    Motion,
    described_friction,
    fastest,
    filling_of,
    foot_path,
    liquid_of,
    outside_path,
    piston_path,
    rated_flow,
    rated_stall,
    score_path,
    seat_path,
    static_path,
)
from wetend.errors import BadInput
from wetend.materials.ball_seat import find_material
from wetend.physics.motion.parameters import (
    AeratedLiquid,
    BallValve,
    Drive,
    Gun,
    GunUse,
    Hose,
    Leak,
    LeakPaths,
    MotionParameters,
    Outlet,
)
from wetend.physics.rheology.liquid import Liquid, thickened
from wetend.physics.stroke.gap import FloatOrArray, GapPath, leak_rate
from wetend.physics.stroke.parameters import nozzle_resistance, stall_force
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.parts import Valve
from wetend.units.message import Message
from wetend.units.quantity import M, N

MOVING_MASSES = 2.5
"""What moves with the rod, over the mass of the rod itself. No source."""


def _one(value: FloatOrArray) -> float:
    """The one pump of a condition.

    Raises:
        BadInput: the condition is of many pumps.
    """
    if np.size(value) != 1:
        raise BadInput(Message("The simulation takes one pump's condition at a time."))
    return float(np.ravel(value)[0])


def _valve(valve: Valve, *, bore: M, lift: M | None = None, stick: N = 0.0) -> BallValve:
    density = find_material(valve.ball_material).density
    return ball_of(valve, density, bore=bore, lift=lift, stick=stick)


def _drive(pump: Pump, state: Condition) -> Drive:
    supply = pump.drive.supply_rated if state.supply is None else _one(state.supply)
    force = float(stall_force(supply, pump.drive.ratio, pump.upper_area, pump.rod_area))
    force *= _one(state.drive)
    free_speed = fastest(pump) * _one(state.free_speed)
    return Drive(
        force=force,
        free_speed=free_speed,
        friction=described_friction(pump) * _one(state.friction),
        mass=MOVING_MASSES * STEEL * pump.rod_area * pump.rod.length,
        reversal=pump.drive.reversal + _one(state.reversal),
        drag=0.002 * force / free_speed,
        control=supply * pump.drive.ratio if pump.drive.kind == "electric" else 0.0,
    )


def _outlet(pump: Pump, liquid: Liquid, state: Condition) -> Outlet:
    clean = pump.filter.clean_loss / rated_flow(pump)
    area = math.pi / 4 * pump.nozzle.orifice**2 * _one(state.nozzle)
    nozzle = nozzle_resistance(liquid.density, area, pump.nozzle.discharge_coefficient)
    filter_ = clean * _one(state.filter) * _one(state.viscosity) + _one(state.filter_blocked)
    return Outlet(
        filter_resistance=filter_,
        hoses=tuple(Hose(h.bore, h.length, h.growth) for h in pump.hose),
        nozzle=float(nozzle),
        line_resistance=_one(state.line_blocked),
    )


def _leaks(pump: Pump, liquid: Liquid, state: Condition) -> LeakPaths:
    reference, filling = rated_stall(pump), filling_of(liquid)

    def leak(gap: FloatOrArray, path: GapPath) -> Leak:
        size = _one(gap)
        if size <= 0:
            return Leak()
        rate = leak_rate(size, path, filling, pressure=reference)
        return Leak(_one(rate.laminar), _one(rate.inertial), reference)

    return LeakPaths(
        foot_seat=leak(state.foot_gap, foot_path(pump)),
        piston_seat=leak(state.seat_gap, seat_path(pump)),
        packings=leak(state.piston_gap, piston_path(pump)),
        score=leak(state.score_gap, score_path(pump)),
        static_packings=leak(state.static_gap, static_path(pump)),
        outside=leak(state.outside_gap, outside_path(pump)),
    )


def motion_parameters(
    pump: Pump, coating: Coating | Liquid, motion: Motion | None = None, *, gun: GunUse = "open"
) -> MotionParameters:
    """The model in time of this pump, coating and state.

    ``motion.steady.filling`` is left aside: how full the cylinder gets is a result.

    Raises:
        BadInput: the state is of many pumps.
        NoAnswer: the cup ran out too quickly to tell a viscosity.
        UnknownName: a ball's material, or a cup, is not known.
    """
    state = motion or Motion()
    described = liquid_of(coating) if isinstance(coating, Coating) else coating
    liquid = thickened(described, _one(state.steady.viscosity))
    vapour = coating.vapour_pressure if isinstance(coating, Coating) else 1000.0
    bore = pump.cylinder.bore
    return MotionParameters(
        liquid=AeratedLiquid(liquid, free_air=state.free_air, vapour_pressure=vapour),
        drive=_drive(pump, state.steady),
        chambers=chambers_of(pump),
        foot_valve=_valve(pump.foot_valve, bore=bore, lift=state.foot_lift, stick=state.foot_stick),
        piston_valve=_valve(pump.piston_valve, bore=0.0),
        suction=suction_of(pump, state.suction_blocked),
        outlet=_outlet(pump, liquid, state.steady),
        leaks=_leaks(pump, liquid, state.steady),
        gun=Gun(gun),
    )
