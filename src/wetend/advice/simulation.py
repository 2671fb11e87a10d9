"""A pump and a coating as described, with faults of given sizes put in, played in time.

Sizes are SI: gaps in metres, shares of one. The same :class:`Condition` that feeds the steady model
feeds this one, so that the two can be held against each other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from wetend.advice.pump_physics import (
    Condition,
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
    thickened,
)
from wetend.errors import BadInput, UnknownName
from wetend.materials.ball_seat import find_material
from wetend.physics.motion.parameters import (
    AeratedLiquid,
    BallValve,
    Chambers,
    Drive,
    Gun,
    GunUse,
    Hose,
    Leak,
    LeakPaths,
    MotionParameters,
    Outlet,
    SuctionLine,
)
from wetend.physics.motion.simulate import Trace, simulate, simulate_stall
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.gap import FloatOrArray, GapPath, leak_rate
from wetend.physics.stroke.parameters import nozzle_resistance, stall_force
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.parts import Valve
from wetend.units.quantity import (
    CycleRate,
    KgPerM3,
    M,
    M3PerS,
    MFine,
    MPerS,
    N,
    Pa,
    Percent,
    S,
    Unit,
    unit_of,
)

STEEL: KgPerM3 = 7850.0
MOVING_MASSES = 2.5
"""What moves with the rod, over the mass of the rod itself. No source."""
SETTLING = 2
"""Cycles run before those reckoned."""
STALL_SECONDS: S = 4.0


@dataclass(frozen=True, eq=False)
class Motion:
    """How a pump stands, for the model in time: the steady condition, and what only time shows."""

    steady: Condition = field(default_factory=Condition)
    foot_lift: M | None = None
    """Lift of the foot valve's ball; ``None`` is the middle of the range described."""
    foot_stick: N = 0.0
    """Force with which that ball sticks to its stop."""
    suction_blocked: float = 0.0
    """Pa s/m^3 more on the way to the foot valve."""
    free_air: float = 0.003
    """Volume of air at atmospheric pressure in the liquid drawn, over the liquid's."""


def _one(value: FloatOrArray) -> float:
    """The one pump of a condition.

    Raises:
        BadInput: the condition is of many pumps.
    """
    if np.size(value) != 1:
        raise BadInput("The model in time takes one pump's condition at a time.")
    return float(np.ravel(value)[0])


def _tube(valve: Valve, bore: M) -> M:
    """Bore round a ball: as described, or with twice its seat's hole left open round it."""
    return max(bore, math.sqrt(valve.ball_diameter**2 + 2 * valve.seat_bore**2))


def _valve(valve: Valve, *, bore: M, lift: M | None = None, stick: N = 0.0) -> BallValve:
    return BallValve(
        ball_diameter=valve.ball_diameter,
        ball_density=find_material(valve.ball_material).density,
        half_angle=valve.seat_half_angle,
        seat_bore=valve.seat_bore,
        seat_width=valve.seat_width,
        lift=0.5 * (valve.lift_low + valve.lift_high) if lift is None else lift,
        tube=_tube(valve, bore),
        spring=valve.spring_force,
        stick=stick,
    )


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


def _chambers(pump: Pump) -> Chambers:
    """Areas, and half the sleeve left over by stroke and packings as dead room at either end."""
    spare = pump.cylinder.length - pump.stroke - pump.moving_packings.height
    dead = max(0.5 * spare, 0.1 * pump.stroke)
    return Chambers(
        pump.bore_area, pump.rod_area, pump.stroke, pump.bore_area * dead, pump.upper_area * dead
    )


def _suction(pump: Pump, blocked: float) -> SuctionLine:
    """The suction tube, with an elbow and housing two ball diameters long."""
    line = pump.suction
    head = math.pi / 4 * line.bore**2 * 2 * pump.foot_valve.ball_diameter
    return SuctionLine(line.bore, line.length, line.lift, head, blocked=blocked)


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

    ``motion.steady.filling`` is left aside: how full the cylinder gets comes out of the sums.

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
        chambers=_chambers(pump),
        foot_valve=_valve(pump.foot_valve, bore=bore, lift=state.foot_lift, stick=state.foot_stick),
        piston_valve=_valve(pump.piston_valve, bore=0.0),
        suction=_suction(pump, state.suction_blocked),
        outlet=_outlet(pump, liquid, state.steady),
        leaks=_leaks(pump, liquid, state.steady),
        gun=Gun(gun),
    )


Change = Callable[[Motion, Pump, float], Motion]


@dataclass(frozen=True)
class FaultKind:
    """A fault that can be put in, and what its size is."""

    name: str
    title: str
    size: str
    """What the size means."""
    unit: Unit
    most: float
    typical: float
    change: Change


def _steadily(name: str) -> Change:
    """A fault that sets one figure of the steady condition to its size."""
    return lambda motion, _pump, size: replace(
        motion, steady=replace(motion.steady, **{name: size})
    )


def _scaled(name: str, factor: Callable[[float], float]) -> Change:
    """A fault that multiplies one figure of the steady condition."""
    return lambda motion, _pump, size: replace(
        motion,
        steady=replace(motion.steady, **{name: getattr(motion.steady, name) * factor(size)}),
    )


def _over_rated_flow(name: str) -> Change:
    """A blockage given by the pressure it costs at the rated flow."""
    return lambda motion, pump, size: replace(
        motion, steady=replace(motion.steady, **{name: size / rated_flow(pump)})
    )


def _over_lifting(motion: Motion, pump: Pump, size: float) -> Motion:
    valve = pump.foot_valve
    return replace(motion, foot_lift=0.5 * (valve.lift_low + valve.lift_high) + size)


def _starving(motion: Motion, pump: Pump, size: float) -> Motion:
    return replace(motion, suction_blocked=size / rated_flow(pump))


_GAP, _SHARE = unit_of(MFine), unit_of(Percent)
_OPENING = "opening of the gap, m"
_LOSS = "pressure it costs at the pump's highest cycle rate, Pa"
FAULTS: dict[str, FaultKind] = {
    kind.name: kind
    for kind in (
        FaultKind("foot-valve", "foot valve not holding", _OPENING, _GAP, 1e-3, 100e-6,
                  _steadily("foot_gap")),
        FaultKind("piston-valve", "piston valve not holding", _OPENING, _GAP, 1e-3, 100e-6,
                  _steadily("seat_gap")),
        FaultKind("packings", "moving packings worn", _OPENING, _GAP, 1e-3, 60e-6,
                  _steadily("piston_gap")),
        FaultKind("score", "bore scored", "depth of the score, m", _GAP, 2e-3, 200e-6,
                  _steadily("score_gap")),
        FaultKind("static-packings", "static packings leaking", _OPENING, _GAP, 1e-3, 50e-6,
                  _steadily("static_gap")),
        FaultKind("outside", "hose or dump valve leaking", _OPENING, _GAP, 1e-3, 100e-6,
                  _steadily("outside_gap")),
        FaultKind("foot-lift", "foot valve lifting too far", "lift beyond the range's middle, m",
                  unit_of(M), 0.05, 2e-3, _over_lifting),
        FaultKind("foot-sticking", "foot-valve ball sticking", "force that frees it, N",
                  unit_of(N), 1e5, 2.0, lambda m, _pump, size: replace(m, foot_stick=size)),
        FaultKind("nozzle-worn", "nozzle worn", "growth of its area, share", _SHARE, 20.0, 0.3,
                  _scaled("nozzle", lambda size: 1 + size)),
        FaultKind("nozzle-blocked", "nozzle part-blocked", "share of its area stopped up", _SHARE,
                  0.999, 0.5, _scaled("nozzle", lambda size: 1 - size)),
        FaultKind("filter", "outlet filter blocked", _LOSS, unit_of(Pa), 1e9, 4e6,
                  _over_rated_flow("filter_blocked")),
        FaultKind("line", "hose or gun filter blocked", _LOSS, unit_of(Pa), 1e9, 4e6,
                  _over_rated_flow("line_blocked")),
        FaultKind("starved", "suction starved", _LOSS, unit_of(Pa), 1e9, 1e5, _starving),
        FaultKind("air", "suction drawing air", "air drawn in, over the liquid's volume", _SHARE,
                  20.0, 0.1, lambda m, _pump, size: replace(m, free_air=m.free_air + size)),
        FaultKind("drive-weak", "drive weak", "share of its force gone", _SHARE, 0.999, 0.4,
                  _scaled("drive", lambda size: 1 - size)),
        FaultKind("drive-slow", "drive slow to reverse", "time longer at each end, s", unit_of(S),
                  60.0, 0.3, _steadily("reversal")),
    )
}  # fmt: skip
"""Every fault that can be put in, by name."""


def with_faults(pump: Pump, faults: Mapping[str, float], motion: Motion | None = None) -> Motion:
    """A state with faults of these sizes put in, by name (see :data:`FAULTS`).

    Raises:
        UnknownName: no fault goes by that name.
        BadInput: a size is below nought, not a number, or more than can be.
    """
    state = motion or Motion()
    for name, size in faults.items():
        if name not in FAULTS:
            raise UnknownName(f"“{name[:40]}” is not a fault; there are {', '.join(FAULTS)}.")
        kind = FAULTS[name]
        if not 0 <= size <= kind.most:
            raise BadInput(f"“{kind.title}” takes a size from 0 to {kind.most:g} ({kind.size}).")
        if size > 0:
            state = kind.change(state, pump, size)
    return state


@dataclass(frozen=True)
class Summary:
    """Figures of a run, means over the cycles reckoned; ``None`` if the rod did not come round."""

    up_time: S | None
    down_time: S | None
    cycle_rate: CycleRate | None
    flow: M3PerS | None
    """Sprayed."""
    drawn: M3PerS | None
    """Drawn in from the tin."""
    lost: M3PerS | None
    """To the outside."""
    gauge: Pa
    """Mean reading of the run."""
    stall_up: Pa
    """Gauge with the gun shut, the drive pulling up."""
    stall_down: Pa
    creep_up: MPerS
    """Of the rod at stall."""
    creep_down: MPerS


@dataclass(frozen=True, eq=False)
class Played:
    """A run: what the model was told, what happened, and the figures of it."""

    parameters: MotionParameters
    trace: Trace
    summary: Summary


def stall(parameters: MotionParameters, *, up: bool) -> tuple[Pa, MPerS]:
    """Gauge and creep of the rod, stalled half-way with the gun shut, once that has settled.

    Raises:
        NoAnswer: the sums could not be carried to the end.
    """
    trace = simulate_stall(parameters, up=up, seconds=STALL_SECONDS)
    end = float(trace.t[-1])
    late = 0.4 * end
    gone = float(trace.x[-1] - np.interp(late, trace.t, trace.x))
    creep = (gone if up else -gone) / max(end - late, 1e-9)
    return float(np.interp(0.95 * end, trace.t, trace.gauge)), max(creep, 0.0)


def summarise(parameters: MotionParameters, trace: Trace) -> Summary:
    """The figures of a run, its first cycles left out, with both stalls.

    Raises:
        NoAnswer: the sums could not be carried to the end.
    """
    strokes = trace.strokes[2 * SETTLING :]
    pairs = [(u, d) for u, d in zip(strokes[::2], strokes[1::2], strict=False)]
    stall_up, creep_up = stall(parameters, up=True)
    stall_down, creep_down = stall(parameters, up=False)
    time = sum(s.time for pair in pairs for s in pair)

    def rate(name: str) -> float | None:
        whole = sum(float(getattr(s, name)) for pair in pairs for s in pair)
        return whole / time if pairs else None

    span = max(float(trace.t[-1] - trace.t[0]), 1e-9)
    return Summary(
        up_time=float(np.mean([u.time for u, _ in pairs])) if pairs else None,
        down_time=float(np.mean([d.time for _, d in pairs])) if pairs else None,
        cycle_rate=len(pairs) / time if pairs else None,
        flow=rate("delivered"),
        drawn=rate("drawn"),
        lost=rate("lost"),
        gauge=float(np.trapezoid(trace.gauge, trace.t)) / span,
        stall_up=stall_up,
        stall_down=stall_down,
        creep_up=creep_up,
        creep_down=creep_down,
    )


def play(
    pump: Pump,
    coating: Coating,
    faults: Mapping[str, float] | None = None,
    *,
    cycles: int = 4,
    gun: GunUse = "open",
) -> Played:
    """Play a pump with these faults for so many cycles, after a few for it to settle.

    Raises:
        NoAnswer: the sums have no answer for this pump, coating and faults.
        UnknownName: no fault goes by a name given.
        BadInput: a fault's size is out of range.
    """
    if not 1 <= cycles <= 100:
        raise BadInput("The model in time plays 1 to 100 cycles.")
    motion = with_faults(pump, faults or {})
    parameters = motion_parameters(pump, coating, motion, gun=gun)
    trace = simulate(parameters, cycles=cycles + SETTLING)
    return Played(parameters, trace, summarise(parameters, trace))
