"""The set-up sheet's calculations shown."""

from __future__ import annotations

from typing import TypedDict

from wetend.advice.handover.duty import Duty, SuctionState, stall_at
from wetend.advice.pump_physics import liquid_fields, viscosity_spread
from wetend.advice.ratings import ratings
from wetend.advice.reasons import Figure, Working
from wetend.advice.working_point import WorkingPoint
from wetend.pump.flow_law import law_limits
from wetend.units.message import Message, joined
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
from wetend.units.stated import stated


class Calculated(TypedDict, total=False):
    """The calculator that computes the same as a working."""

    calculator: str
    inputs: tuple[tuple[str, float | str | tuple[float, ...]], ...]


_PA, _FLOW, _RATIO = unit_of(Pa), unit_of(M3PerS), unit_of(Ratio)


def _flow(duty: Duty, point: WorkingPoint) -> Working:
    return Working(
        title=Message("Flow at the nozzle and cycles a minute"),
        formula="Q = guns * Cd * pi d^2/4 * sqrt(2 p / rho); cycles = Q / (A_b * stroke)",
        given=(
            Figure(Message("pressure at the nozzle"), point.nozzle_pressure, _PA, "p"),
            Figure(Message("orifice of equal flow"), duty.line.orifice, unit_of(M), "d"),
            Figure(Message("discharge coefficient"), duty.line.discharge, _RATIO, "Cd"),
            Figure(Message("guns"), float(duty.line.guns), _RATIO),
            Figure(Message("density"), duty.liquid.density, unit_of(KgPerM3), "rho"),
            Figure(Message("displacement a cycle"), duty.pump.displacement, unit_of(M3Small)),
        ),
        result=(
            Figure(Message("flow"), point.flow, _FLOW, "Q"),
            Figure(Message("cycles"), point.cycle_rate, unit_of(CycleRate)),
        ),
        source="Orifice equation, any textbook of fluid mechanics; cycles of a sound pump",
        validity=Message("Turbulent jet; calibrate the coefficient with bucket and watch"),
        calculator="nozzle-flow",
        inputs=(
            ("orifice", duty.line.orifice),
            ("pressure", point.nozzle_pressure),
            ("density", duty.liquid.density),
            ("discharge_coefficient", duty.line.discharge),
        ),
    )


_LEVEL = Message(
    "Level, smooth hose without fittings; with several guns each has its own last length"
)


def _line_inputs(duty: Duty, point: WorkingPoint) -> Calculated:
    """The calculator of the line, where a calculator can be told this liquid."""
    liquid = liquid_fields(duty.liquid)
    if not liquid or duty.line.guns > 1:
        return {}
    hoses = duty.line.hoses
    filled = {
        **liquid, "bores": tuple(h.bore for h in hoses), "lengths": tuple(h.length for h in hoses),
        "flow": point.flow, "rise": duty.line.lift, "pressure": point.pump_pressure,
    }  # fmt: skip
    return {"calculator": "line-loss", "inputs": tuple(filled.items())}


def _losses(duty: Duty, point: WorkingPoint) -> Working:
    hoses = tuple(
        Figure(
            Message("hose {n}: length, bore {bore}", n=n, bore=stated(f"{h.bore * 1000.0:.1f} mm")),
            h.length,
            unit_of(MLong),
        )
        for n, h in enumerate(duty.line.hoses, 1)
    )
    return Working(
        title=Message("Pressure at the pump"),
        formula="p_pump = p_nozzle + hose loss + rho g lift + filter loss",
        given=(
            *hoses,
            Figure(Message("flow"), point.flow, _FLOW),
            Figure(Message("gun above the pump"), duty.line.lift, unit_of(MLong)),
        ),
        result=(
            Figure(Message("hose loss"), point.hose_loss, _PA),
            Figure(Message("lift"), point.lift_loss, _PA),
            Figure(Message("filter, clean"), point.filter_loss, _PA),
            Figure(Message("pressure at the pump"), point.pump_pressure, _PA),
        ),
        source="Hose loss by the coating's own flow law; coating at another temperature by "
        "Andrade's law with a usual constant (common practice, no source)",
        validity=joined(". ", (_LEVEL, *law_limits(duty.coating.law, "turbulence"))),
        spread=Message(
            "viscosity {coating:.0%} (standard), and the hose loss about as much",
            coating=viscosity_spread(duty.coating),
        ),
        **_line_inputs(duty, point),
    )


def _supply(duty: Duty, point: WorkingPoint, supply: Pa) -> Working:
    pump = duty.pump
    friction = pump.drive.friction + pump.moving_packings.friction + pump.static_packings.friction
    return Working(
        title=Message("Supply at the drive, and the stall it brings"),
        formula="p_s = (p A_b/2 + friction) / (1 - (v/v0)^2) / (ratio * A_b/2)",
        given=(
            Figure(Message("pressure at the pump"), point.pump_pressure, _PA, "p"),
            Figure(Message("friction of packings and drive"), friction, unit_of(N)),
            Figure(Message("drive's ratio"), pump.drive.ratio, _RATIO),
        ),
        result=(
            Figure(Message("supply"), supply, _PA, "p_s"),
            Figure(Message("most it can stall at"), stall_at(pump, supply), _PA),
        ),
        source="Force balance, mean of both strokes; droop by the square of speed is common "
        "practice, no source",
        validity=Message(
            "Drive and regulator in order; stall pressure calculated without friction, "
            "on the stronger stroke"
        ),
    )


def _ratings(duty: Duty) -> Working:
    every = tuple(Figure(part, rating, _PA) for rating, part in ratings(duty.pump))
    low = min(every, key=lambda figure: figure.value)
    return Working(
        title=Message("Weakest part"),
        formula="lowest of all ratings",
        given=every,
        result=(Figure(low.label, low.value, _PA),),
        source="Ratings as described; the weakest part governs (common practice)",
        validity=Message("Gun, swivels and fittings are not in the description: read their marks"),
    )


def _suction(duty: Duty, state: SuctionState) -> Working:
    return Working(
        title=Message("Suction margin"),
        formula="margin = p_atm - rho g lift - line - foot valve - speeding up - vapour pressure",
        given=(
            Figure(Message("pump above the liquid"), duty.pump.suction.lift, unit_of(MLong)),
            Figure(
                Message("flow on the up-stroke, A_b / A_u times the delivery"), state.intake, _FLOW
            ),
            Figure(Message("suction tube"), state.line_loss, _PA),
            Figure(Message("foot valve"), state.valve_loss, _PA),
            Figure(Message("speeding the column up after a turn"), state.turn_pressure, _PA),
            Figure(Message("vapour pressure"), duty.coating.vapour_pressure, _PA),
        ),
        result=(
            Figure(Message("absolute pressure at the foot valve"), state.absolute, _PA),
            Figure(Message("margin"), state.margin, _PA),
        ),
        source="Energy balance of the suction line (Abulencia and Theodore, Fluid Flow for the "
        "Practicing Chemical Engineer, 2009, ex. 22.10) with an even turn-round",
        validity=Message("Sea level, clean strainer, open tin, no air drawn"),
        calculator="suction-margin",
        inputs=(
            ("density", duty.liquid.density),
            ("lift", duty.pump.suction.lift),
            ("loss", state.line_loss + state.valve_loss),
            ("acceleration", state.turn_pressure),
            ("vapour_pressure", duty.coating.vapour_pressure),
        ),
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
