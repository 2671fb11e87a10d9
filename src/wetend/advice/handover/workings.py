"""The set-up sheet's calculations shown."""

from __future__ import annotations

from wetend.advice.handover.duty import Duty, SuctionState, stall_at
from wetend.advice.pump_physics import viscosity_spread
from wetend.advice.ratings import ratings
from wetend.advice.reasons import Figure, Working
from wetend.advice.working_point import WorkingPoint
from wetend.pump.flow_law import law_limits
from wetend.units.quantity import (
    CycleRate,
    KgPerM3,
    M,
    M3PerS,
    M3Small,
    MLong,
    N,
    Pa,
    Ratio,
    unit_of,
)

_PA, _FLOW, _RATIO = unit_of(Pa), unit_of(M3PerS), unit_of(Ratio)


def _flow(duty: Duty, point: WorkingPoint) -> Working:
    return Working(
        title="Flow at the nozzle and cycles a minute",
        formula="Q = guns * Cd * pi d^2/4 * sqrt(2 p / rho); cycles = Q / (A_b * stroke)",
        given=(
            Figure("pressure at the nozzle", point.nozzle_pressure, _PA, "p"),
            Figure("orifice of equal flow", duty.line.orifice, unit_of(M), "d"),
            Figure("discharge coefficient", duty.line.discharge, _RATIO, "Cd"),
            Figure("guns", float(duty.line.guns), _RATIO),
            Figure("density", duty.liquid.density, unit_of(KgPerM3), "rho"),
            Figure("displacement a cycle", duty.pump.displacement, unit_of(M3Small)),
        ),
        result=(
            Figure("flow", point.flow, _FLOW, "Q"),
            Figure("cycles", point.cycle_rate, unit_of(CycleRate)),
        ),
        source="Orifice equation, any textbook of fluid mechanics; cycles of a sound pump",
        validity="Turbulent jet; calibrate the coefficient with bucket and watch",
    )


def _losses(duty: Duty, point: WorkingPoint) -> Working:
    hoses = tuple(
        Figure(f"hose {n}: length, bore {h.bore * 1e3:.1f} mm", h.length, unit_of(MLong))
        for n, h in enumerate(duty.line.hoses, 1)
    )
    return Working(
        title="Pressure at the pump",
        formula="p_pump = p_nozzle + hose loss + rho g lift + filter loss",
        given=(
            *hoses,
            Figure("flow", point.flow, _FLOW),
            Figure("gun above the pump", duty.line.lift, unit_of(MLong)),
        ),
        result=(
            Figure("hose loss", point.hose_loss, _PA),
            Figure("lift", point.lift_loss, _PA),
            Figure("filter, clean", point.filter_loss, _PA),
            Figure("pressure at the pump", point.pump_pressure, _PA),
        ),
        source="Hose loss by the coating's own flow law; coating at another temperature by "
        "Andrade's law with a usual constant (common practice, no source)",
        validity="Level, smooth hose without fittings; with several guns each has its own last "
        "length" + "".join(f". {s}" for s in law_limits(duty.coating.law, "turbulence")),
        spread=f"viscosity {viscosity_spread(duty.coating):.0%} (standard), and the hose loss "
        "about as much",
    )


def _supply(duty: Duty, point: WorkingPoint, supply: Pa) -> Working:
    pump = duty.pump
    friction = pump.drive.friction + pump.moving_packings.friction + pump.static_packings.friction
    return Working(
        title="Supply at the drive, and the stall it brings",
        formula="p_s = (p A_b/2 + friction) / (1 - (v/v0)^2) / (ratio * A_b/2)",
        given=(
            Figure("pressure at the pump", point.pump_pressure, _PA, "p"),
            Figure("friction of packings and drive", friction, unit_of(N)),
            Figure("drive's ratio", pump.drive.ratio, _RATIO),
        ),
        result=(
            Figure("supply", supply, _PA, "p_s"),
            Figure("most it can stall at", stall_at(pump, supply), _PA),
        ),
        source="Force balance, mean of both strokes; droop by the square of speed is common "
        "practice, no source",
        validity="Drive and regulator in order; stall pressure calculated without friction, on "
        "the stronger stroke",
    )


def _ratings(duty: Duty) -> Working:
    every = tuple(Figure(part, rating, _PA) for rating, part in ratings(duty.pump))
    low = min(every, key=lambda figure: figure.value)
    return Working(
        title="Weakest part",
        formula="lowest of all ratings",
        given=every,
        result=(Figure(low.label, low.value, _PA),),
        source="Ratings as described; the weakest part governs (common practice)",
        validity="Gun, swivels and fittings are not in the description: read their marks",
    )


def _suction(duty: Duty, state: SuctionState) -> Working:
    return Working(
        title="Suction margin",
        formula="margin = p_atm - rho g lift - line - foot valve - speeding up - vapour pressure",
        given=(
            Figure("pump above the liquid", duty.pump.suction.lift, unit_of(MLong)),
            Figure("flow on the up-stroke, A_b / A_u times the delivery", state.intake, _FLOW),
            Figure("suction tube", state.line_loss, _PA),
            Figure("foot valve", state.valve_loss, _PA),
            Figure("speeding the column up after a turn", state.turn_pressure, _PA),
            Figure("vapour pressure", duty.coating.vapour_pressure, _PA),
        ),
        result=(
            Figure("absolute pressure at the foot valve", state.absolute, _PA),
            Figure("margin", state.margin, _PA),
        ),
        source="Energy balance of the suction line (Abulencia and Theodore, Fluid Flow for the "
        "Practicing Chemical Engineer, 2009, ex. 22.10) with an even turn-round",
        validity="Sea level, clean strainer, open tin, no air drawn",
    )


def handover_workings(
    duty: Duty, point: WorkingPoint, *, supply: Pa, suction: SuctionState
) -> tuple[Working, ...]:
    """Flow, losses, supply, weakest part, suction: each with its working."""
    return (
        _flow(duty, point),
        _losses(duty, point),
        _supply(duty, point, supply),
        _ratings(duty),
        _suction(duty, suction),
    )
