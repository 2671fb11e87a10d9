"""The set-up sheet for this coating, hose and nozzle.

When to come back is what the pump's life says (:mod:`wetend.advice.life.next_repack`).
"""

from __future__ import annotations

from wetend.advice.handover.answer import Setting, SetUp
from wetend.advice.handover.duty import (
    Duty,
    SuctionState,
    ball_return,
    duty_of,
    most_pressure,
    reaches,
    stall_at,
    suction_state,
    supply_cap,
    supply_needed,
)
from wetend.advice.handover.recommendations import advice, what_would
from wetend.advice.handover.settings import (
    ball_setting,
    bar,
    cycle_setting,
    handover_cautions,
    hose_setting,
    nozzle_setting,
    rating_setting,
    suction_setting,
    supply_setting,
    warmth_setting,
)
from wetend.advice.handover.workings import handover_workings
from wetend.advice.ratings import weakest
from wetend.advice.working_point import WorkingPoint, middle_pressure
from wetend.errors import NoAnswer, UnknownName
from wetend.materials.ball_seat import find_material
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import SetUpRequest
from wetend.units.message import Message, joined
from wetend.units.quantity import KgPerM3, Pa, Ratio
from wetend.units.stated import stated

__all__ = ["SetUp", "Setting", "set_up"]

_BAR: Pa = 1e5

_STEEL: KgPerM3 = 7700.0
"""Density taken for a ball whose material is not in the table."""


def _ball_density(pump: Pump) -> KgPerM3:
    try:
        return find_material(pump.foot_valve.ball_material).density
    except UnknownName:
        return _STEEL


def _reachable(duty: Duty, asked: Pa) -> WorkingPoint:
    """The working point asked for, or the best there is if that still sprays.

    Raises:
        NoAnswer: not even the data sheet's lowest pressure gets to the nozzle.
    """
    if reaches(duty, asked):
        return duty.at(asked)
    best = most_pressure(duty)
    least = min(duty.coating.spray_pressure_low, asked)
    if best >= least:
        return duty.at(best)
    would = what_would(duty, least)
    mend = (
        (Message("It would be enough with {would}.", would=joined(Message(" or "), would)))
        if would
        else Message("No single change would be enough.")
    )
    most = (
        Message("At most {best}", best=bar(best))
        if best >= _BAR
        else Message("Less than {pressure}", pressure=stated("1 bar"))
    )
    raise NoAnswer(
        Message(
            "{most} would reach the nozzle within the drive's supply and the weakest "
            "rating, but this coating needs {least}. {mend}",
            most=most,
            least=bar(least),
            mend=mend,
        )
    )


def _settings(
    duty: Duty, point: WorkingPoint, *, asked: Pa, supply: Pa, suction: SuctionState, ball: Ratio
) -> tuple[Setting, ...]:
    return (
        nozzle_setting(duty, point, asked),
        cycle_setting(duty, point),
        supply_setting(duty, supply),
        rating_setting(duty, supply),
        hose_setting(point),
        suction_setting(suction),
        ball_setting(ball),
        warmth_setting(duty),
    )


def set_up(pump: Pump, coating: Coating, request: SetUpRequest) -> SetUp:
    """Pressure, flow, hose loss, cycles a minute, suction margin and the weakest rating.

    The supply advised never stalls the pump above its weakest part. Where the pressure asked for
    can't be had so, the best that can is given and marked, if it still sprays.

    Raises:
        NoAnswer: this hose and coating can't deliver the pressure wanted; says what would. Or the
            coating is known by a cup that ran out too quickly.
        UnknownName: no such cup.
    """
    duty = duty_of(pump, coating, request)
    asked = request.spray_pressure or middle_pressure(coating)
    point = _reachable(duty, asked)
    supply = min(supply_needed(duty, point), supply_cap(pump))
    suction = suction_state(duty, point.flow)
    ball = ball_return(duty, point.flow, _ball_density(pump))
    rating, part = weakest(pump)
    return SetUp(
        nozzle_pressure=point.nozzle_pressure,
        pump_pressure=point.pump_pressure,
        supply_pressure=supply,
        flow=point.flow,
        hose_loss=point.hose_loss,
        lift_loss=point.lift_loss,
        cycle_rate=point.cycle_rate,
        weakest_rating=rating,
        weakest_part=part,
        suction_margin=suction.margin,
        stall_pressure=stall_at(pump, supply),
        settings=_settings(duty, point, asked=asked, supply=supply, suction=suction, ball=ball),
        advice=advice(duty, point, suction, ball),
        workings=handover_workings(duty, point, supply=supply, suction=suction),
        cautions=handover_cautions(duty, supply),
        asked_pressure=asked,
        filter_loss=point.filter_loss,
        temperature=duty.temperature,
    )
