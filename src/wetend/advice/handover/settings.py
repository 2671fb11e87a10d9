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


def bar(pressure: Pa) -> str:
    """A pressure for prose."""
    return show(pressure, unit_of(Pa))


def nozzle_setting(duty: Duty, point: WorkingPoint, asked: Pa) -> Setting:
    """The nozzle pressure against the data sheet's range and what was asked for."""
    coating, pressure = duty.coating, point.nozzle_pressure
    low, high = coating.spray_pressure_low, coating.spray_pressure_high
    span = f"{bar(low)} to {bar(high)} on the data sheet"
    title = "Pressure at the nozzle"
    if pressure < asked * 0.999:
        why = (
            f"{bar(asked)} is not possible through this hose within the ratings; {bar(pressure)} "
            f"is, against {span}."
        )
        return Setting(title, Verdict.WATCH, why)
    if low <= pressure <= high:
        return Setting(title, Verdict.ENOUGH, f"{bar(pressure)}, {span}.")
    side = "below" if pressure < low else "above"
    return Setting(title, Verdict.WATCH, f"{bar(pressure)} is {side} the {span}.")


def cycle_setting(duty: Duty, point: WorkingPoint) -> Setting:
    """Cycles a minute against the pump's highest."""
    unit = unit_of(CycleRate)
    rate, most = point.cycle_rate, duty.pump.limits.cycle_rate_high
    said = f"{show(rate, unit)} against {show(most, unit)} at most"
    title = "Cycles a minute"
    if rate > most:
        return Setting(
            title, Verdict.FAIL, f"{said}: the pump is too small for this nozzle, and wears fast."
        )
    if rate > EASY_CYCLES * most:
        return Setting(title, Verdict.WATCH, f"{said}: slow strokes are kinder.")
    return Setting(title, Verdict.ENOUGH, f"{said}.")


def supply_setting(duty: Duty, supply: Pa) -> Setting:
    """Supply at the drive against its rating."""
    rated = duty.pump.drive.supply_rated
    now = gauge(supply, unit_of(Pa), at_most=True)
    most = show_limit(rated, unit_of(Pa))
    said = f"{now} of {duty.pump.drive.supply_name}, rated {most}"
    if supply > EASY_SUPPLY * rated:
        return Setting("Supply at the drive", Verdict.WATCH, f"{said}: no reserve.")
    return Setting("Supply at the drive", Verdict.ENOUGH, f"{said}.")


def rating_setting(duty: Duty, supply: Pa) -> Setting:
    """Stall pressure at that supply against the weakest rating."""
    rating, part = weakest(duty.pump)
    stall = stall_at(duty.pump, supply)
    said = f"Gun shut, it can reach {bar(stall)}; the weakest part, {part}, is rated {bar(rating)}"
    if stall > rating * (1 + 1e-9):
        return Setting("Weakest part", Verdict.FAIL, f"{said}.")
    verdict = Verdict.WATCH if stall > EASY_STALL * rating else Verdict.ENOUGH
    return Setting("Weakest part", verdict, f"{said}. Gun, swivels and fittings count too.")


def suction_setting(state: SuctionState) -> Setting:
    """Pressure left above the vapour pressure at the foot valve."""
    title = "Suction"
    said = f"{bar(abs(state.margin))}"
    if state.margin <= 0:
        why = (
            f"Short by {said}: the cylinder will not fill, and the down-stroke drops at its start."
        )
        return Setting(title, Verdict.FAIL, why)
    if state.margin < EASY_MARGIN:
        return Setting(
            title, Verdict.WATCH, f"Only {said} of margin: watch for a quick early drop."
        )
    return Setting(title, Verdict.ENOUGH, f"{said} of margin at the foot valve.")


def hose_setting(point: WorkingPoint) -> Setting:
    """Share of the pump's pressure lost in the hose."""
    share = point.hose_loss / point.pump_pressure if point.pump_pressure > 0 else 0.0
    verdict = Verdict.WATCH if share > MUCH_LOSS else Verdict.ENOUGH
    return Setting("Hose", verdict, f"Loses {bar(point.hose_loss)}, {share:.0%} of the pressure.")


def ball_setting(share: Ratio) -> Setting:
    """How soon the foot-valve ball comes back."""
    about = f"about {share:.0%}" if share >= 0.01 else "less than 1%"
    said = f"It returns to its seat after {about} of a down-stroke in this coating"
    verdict = Verdict.WATCH if share > LATE_BALL else Verdict.ENOUGH
    return Setting("Foot-valve ball", verdict, f"{said}.")


def warmth_setting(duty: Duty) -> Setting:
    """The coating's temperature against the pump's highest and against where its flow was taken."""
    most, now = duty.pump.limits.temperature_high, duty.temperature
    title, unit = "Coating's temperature", unit_of(K)
    if now > most:
        return Setting(
            title, Verdict.FAIL, f"{show(now, unit)} is above the pump's {show(most, unit)}."
        )
    away = abs(now - duty.coating.temperature)
    if away > 15:
        why = (
            f"{show(now, unit)} is {away:.0f} degrees from the temperature of its flow data: the "
            "settings are rough, measure with the cup."
        )
        return Setting(title, Verdict.WATCH, why)
    return Setting(title, Verdict.ENOUGH, f"{show(now, unit)}.")


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
            "weakest-part", f"Do not run at this supply: {part} is rated only {bar(rating)}."
        )
    if cap < pump.drive.supply_rated * (1 - 1e-9):
        full = stall_at(pump, pump.drive.supply_rated)
        yield caution(
            "weakest-part",
            f"At its rated supply this drive can stall at {bar(full)}, above the {bar(rating)} "
            f"of {part}. Hold the supply to {bar(cap)} or less by a locked regulator and a "
            "relief valve, or fit parts rated for it.",
        )
