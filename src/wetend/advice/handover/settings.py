"""Each line of the set-up sheet judged: enough, watch or fail, and why."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wetend.advice.handover.answer import Setting
from wetend.advice.handover.duty import Duty, SuctionState, stall_at, supply_cap
from wetend.advice.ratings import weakest
from wetend.advice.reasons import Caution, Verdict
from wetend.advice.safety.hazards import caution, for_screen
from wetend.advice.safety.site_hazards import exposure
from wetend.advice.working_point import WorkingPoint
from wetend.units.message import Message
from wetend.units.quantity import CycleRate, K, Pa, Ratio, unit_of
from wetend.units.show import gauge, show, show_limit

EASY_CYCLES: Ratio = 0.8
"""Share of the highest cycle rate up to which a pump runs easily (common practice, no source)."""
EASY_SUPPLY: Ratio = 0.95
EASY_STALL: Ratio = 0.9
EASY_MARGIN: Pa = 30e3
"""Suction margin from which no trouble is looked for (common practice, no source)."""
MUCH_LOSS: Ratio = 0.25
"""Share of the pump's pressure lost in the hose from which it is worth improving (our choice)."""
LATE_BALL: Ratio = 0.02
"""Share of a stroke from which a ball comes back late (common practice, no source)."""

_SUPPLIES = {"compressed air": Message("compressed air")}
"""What a drive runs on, where its description does not name something else."""


def bar(pressure: Pa) -> str:
    """A pressure for prose."""
    return show(pressure, unit_of(Pa))


def nozzle_setting(duty: Duty, point: WorkingPoint, asked: Pa) -> Setting:
    """The nozzle pressure against the data sheet's range and what was asked for."""
    coating, pressure = duty.coating, point.nozzle_pressure
    low, high = coating.spray_pressure_low, coating.spray_pressure_high
    span = Message("{low} to {high} on the data sheet", low=bar(low), high=bar(high))
    title = Message("Pressure at the nozzle")
    if pressure < asked * 0.999:
        why = Message(
            "{asked} is not possible through this hose within the ratings; {pressure} "
            "is, against {span}.",
            asked=bar(asked),
            pressure=bar(pressure),
            span=span,
        )
        return Setting(title, Verdict.WATCH, why)
    if low <= pressure <= high:
        return Setting(
            title, Verdict.ENOUGH, Message("{pressure}, {span}.", pressure=bar(pressure), span=span)
        )
    why = (
        Message("{pressure} is below the {span}.", pressure=bar(pressure), span=span)
        if pressure < low
        else Message("{pressure} is above the {span}.", pressure=bar(pressure), span=span)
    )
    return Setting(title, Verdict.WATCH, why)


def cycle_setting(duty: Duty, point: WorkingPoint) -> Setting:
    """Cycles a minute against the pump's highest."""
    unit = unit_of(CycleRate)
    rate, most = point.cycle_rate, duty.pump.limits.cycle_rate_high
    said = Message("{rate} against {most} at most", rate=show(rate, unit), most=show(most, unit))
    title = Message("Cycles a minute")
    if rate > most:
        return Setting(
            title,
            Verdict.FAIL,
            Message("{said}: the pump is too small for this nozzle, and wears fast.", said=said),
        )
    if rate > EASY_CYCLES * most:
        return Setting(title, Verdict.WATCH, Message("{said}: slow strokes are kinder.", said=said))
    return Setting(title, Verdict.ENOUGH, Message("{said}.", said=said))


def supply_setting(duty: Duty, supply: Pa) -> Setting:
    """Supply at the drive against its rating."""
    rated = duty.pump.drive.supply_rated
    now = gauge(supply, unit_of(Pa), at_most=True)
    most = show_limit(rated, unit_of(Pa))
    said = Message(
        "{now} of {supply_name}, rated {most}",
        now=now,
        supply_name=_SUPPLIES.get(duty.pump.drive.supply_name, duty.pump.drive.supply_name),
        most=most,
    )
    if supply > EASY_SUPPLY * rated:
        return Setting(
            Message("Supply at the drive"), Verdict.WATCH, Message("{said}: no reserve.", said=said)
        )
    return Setting(Message("Supply at the drive"), Verdict.ENOUGH, Message("{said}.", said=said))


def rating_setting(duty: Duty, supply: Pa) -> Setting:
    """Stall pressure at that supply against the weakest rating."""
    rating, part = weakest(duty.pump)
    stall = stall_at(duty.pump, supply)
    said = Message(
        "Gun shut, it can reach {stall}; the weakest part, {part}, is rated {rating}",
        stall=bar(stall),
        part=part,
        rating=bar(rating),
    )
    if stall > rating * (1 + 1e-9):
        return Setting(Message("Weakest part"), Verdict.FAIL, Message("{said}.", said=said))
    verdict = Verdict.WATCH if stall > EASY_STALL * rating else Verdict.ENOUGH
    return Setting(
        Message("Weakest part"),
        verdict,
        Message("{said}. Gun, swivels and fittings count too.", said=said),
    )


def suction_setting(state: SuctionState) -> Setting:
    """Pressure left above the vapour pressure at the foot valve."""
    title = Message("Suction")
    said = bar(abs(state.margin))
    if state.margin <= 0:
        why = Message(
            "Short by {said}: the cylinder will not fill, and the down-stroke drops at its start.",
            said=said,
        )
        return Setting(title, Verdict.FAIL, why)
    if state.margin < EASY_MARGIN:
        return Setting(
            title,
            Verdict.WATCH,
            Message("Only {said} of margin: watch for a quick early drop.", said=said),
        )
    return Setting(title, Verdict.ENOUGH, Message("{said} of margin at the foot valve.", said=said))


def hose_setting(point: WorkingPoint) -> Setting:
    """Share of the pump's pressure lost in the hose."""
    share = point.hose_loss / point.pump_pressure if point.pump_pressure > 0 else 0.0
    verdict = Verdict.WATCH if share > MUCH_LOSS else Verdict.ENOUGH
    return Setting(
        Message("Hose"),
        verdict,
        Message(
            "Loses {hose_loss}, {share:.0%} of the pressure.",
            hose_loss=bar(point.hose_loss),
            share=share,
        ),
    )


def ball_setting(share: Ratio) -> Setting:
    """How soon the foot-valve ball comes back."""
    about = Message("about {share:.0%}", share=share) if share >= 0.01 else Message("less than 1%")
    said = Message(
        "It returns to its seat after {about} of a down-stroke in this coating", about=about
    )
    verdict = Verdict.WATCH if share > LATE_BALL else Verdict.ENOUGH
    return Setting(Message("Foot-valve ball"), verdict, Message("{said}.", said=said))


def warmth_setting(duty: Duty) -> Setting:
    """The coating's temperature against the pump's highest and against where its flow was taken."""
    most, now = duty.pump.limits.temperature_high, duty.temperature
    title, unit = Message("Coating's temperature"), unit_of(K)
    if now > most:
        return Setting(
            title,
            Verdict.FAIL,
            Message(
                "{now} is above the pump's {most}.", now=show(now, unit), most=show(most, unit)
            ),
        )
    away = abs(now - duty.coating.temperature)
    if away > 15:
        why = Message(
            "{now} is {away:.0f} degrees from the temperature of its flow data: the "
            "settings are rough, measure with the cup.",
            now=show(now, unit),
            away=away,
        )
        return Setting(title, Verdict.WATCH, why)
    return Setting(title, Verdict.ENOUGH, Message("{now}.", now=show(now, unit)))


def handover_cautions(duty: Duty, supply: Pa) -> tuple[Caution, ...]:
    """What can hurt when the settings are put to use, one a hazard."""
    coating = duty.coating
    found = [*_rated(duty, supply), caution("injection")]
    if coating.burns:
        found.append(caution("fire"))
    found += exposure(coating)
    if not math.isclose(duty.temperature, coating.temperature, abs_tol=0.5):
        found.append(caution("heating"))
    return for_screen(*found)


def _rated(duty: Duty, supply: Pa) -> Iterator[Caution]:
    """That a part bears less than this drive can give."""
    pump = duty.pump
    rating, part = weakest(pump)
    cap = supply_cap(pump)
    if stall_at(pump, supply) > rating * (1 + 1e-9):
        yield caution(
            "weakest-part",
            Message(
                "Do not run at this supply: {part} is rated only {rating}.",
                part=part,
                rating=bar(rating),
            ),
        )
    if cap < pump.drive.supply_rated * (1 - 1e-9):
        full = stall_at(pump, pump.drive.supply_rated)
        yield caution(
            "weakest-part",
            Message(
                "At its rated supply this drive can stall at {full}, above the {rating} of "
                "{part}. Hold the supply to {cap} or less by a locked regulator and a relief "
                "valve, or fit parts rated for it.",
                full=bar(full),
                rating=bar(rating),
                part=part,
                cap=bar(cap),
            ),
        )
