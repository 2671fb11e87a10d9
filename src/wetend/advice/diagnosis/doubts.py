"""Readings that want a word themselves: a gauge that can't be right, a check not done yet read.

A gauge with its cock shut, its snubber plugged or its works broken reads next to nothing. So does a
pump that has lost its load, but that one races, and one without drive, but that one crawls. While
a pump strokes near a sound one's pace there is pressure, whatever its gauge says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from wetend.advice.diagnosis.answers import Prediction
from wetend.advice.diagnosis.checks import CHECKS
from wetend.advice.diagnosis.evidence import steady_time, times_left_out
from wetend.pump.description import Pump
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.units import quantity
from wetend.units.message import Message, joined, plural
from wetend.units.quantity import Ratio, unit_of
from wetend.units.show import show

_SECONDS, _PRESSURE = unit_of(quantity.S), unit_of(quantity.Pa)
Gauge = Literal["spray_pressure", "stall_pressure"]
NEXT_TO_NOTHING: Ratio = 0.15
"""Share of a sound pump's reading under which a gauge reads next to nothing, at that pump's pace.

What a nozzle passes goes by the root of the pressure, so a slower pump is held against less, by the
square of its pace. Of pumps with faults as usual, two in ten thousand at most spray under that at a
pace within :data:`STROKES`, and none stalls under twice it; dead gauges are commoner. Common
practice, no source.
"""
STROKES: tuple[Ratio, Ratio] = (0.5, 2.0)
"""Pace against a sound pump's at which a pump pushes against pressure: slower it may lack drive,
faster it may lack load.
"""

_GIVEN_BY: dict[CheckKey, tuple[tuple[str, ...], ...]] = {
    "wet-cup": (("wet_cup",),),
    "outside": (("outside_looked",),),
    "look": (("wet_cup",), ("outside_looked",)),
    "changeover": (("turn_pause", "changeover"),),
    "early-drop": (("drop", "early_drop"),),
    "gauge-spray": (("spray_pressure",),),
    "supply": (("supply_pressure",),),
    "air": (("air_seen",),),
    "cycles": (("cycle_rate",),),
    "gauge-stall": (("stall_pressure",),),
    "strokes": (("up_times", "down_times"),),
    "suction-lifted": (("suction_lifted",),),
    "slow": (("slow_drop",),),
    "watch": (
        ("up_times", "down_times"), ("spray_pressure",), ("drop", "early_drop"),
        ("turn_pause", "changeover"),
    ),
    "fresh-suction": (("fresh_suction",),),
    "creep": (("creep_up", "creep_down"),),
    "nozzle": (("nozzle_changed",),),
    "creep-place": (("creep_place",),),
    "bucket": (("bucket_volume", "bucket_time", "bucket_cycles"),),
    "filter": (("filter_looked",),),
    "solvent": (("solvent_test",),),
    "wash": (("wash",),),
    "nozzle-turn": (("nozzle_turned",),),
}  # fmt: skip
"""Readings that say a check was done: one of each group."""


KNOCK = Message(
    "A knock at the turn can be the coupling as well: drive isolated and hose "
    "emptied, try coupling and collets for play."
)


@dataclass(frozen=True)
class Doubt:
    """A gauge reading that is left out, and why."""

    gauge: Gauge
    told: str


def _pace(readings: CheckReadings, sound: Prediction) -> Ratio | None:
    """How fast the pump strokes against a sound one; ``None`` where nobody timed it."""
    if readings.cycle_rate is not None:
        return readings.cycle_rate / sound.cycle_rate
    timed = [
        (steady_time(times, readings.tap_spread)[0], whole)
        for times, whole in (
            (readings.up_times, sound.up_time), (readings.down_times, sound.down_time),
        )
        if times
    ]  # fmt: skip
    if timed:
        return sum(whole for _, whole in timed) / sum(time for time, _ in timed)
    if readings.bucket_cycles and readings.bucket_time:
        return readings.bucket_cycles / readings.bucket_time / sound.cycle_rate
    return None


def gauge_doubts(readings: CheckReadings, sound: Prediction) -> tuple[Doubt, ...]:
    """Gauge readings next to nothing on a pump that must have pressure.

    Args:
        readings: as given.
        sound: what a sound pump reads with this coating at the supply read.
    """
    pace = _pace(readings, sound)
    strokes = pace is not None and STROKES[0] <= pace <= STROKES[1]
    spray, stall = readings.spray_pressure, readings.stall_pressure
    least = NEXT_TO_NOTHING * min(pace or 1.0, 1.0) ** 2 * sound.spray_pressure
    found = []
    if spray is not None and spray < least and strokes:
        found.append(
            Doubt(
                "spray_pressure",
                Message(
                    "The gauge reads next to nothing while the pump strokes: is its cock shut, or "
                    "is it "
                    "dead? Read another; this reading is left out. Until another reads, take the "
                    "hose as under pressure."
                ),
            )
        )
    sprays = spray is not None and spray >= least
    if stall is not None and stall < NEXT_TO_NOTHING * sound.stall_pressure and (strokes or sprays):
        found.append(
            Doubt(
                "stall_pressure",
                Message(
                    "The gauge reads next to nothing at stall, where the drive still pushes: is "
                    "its cock "
                    "shut, or is it dead? Read another; this reading is left out. Until another "
                    "reads, take the hose as under pressure."
                ),
            )
        )
    return tuple(found)


def without(readings: CheckReadings, doubts: Sequence[Doubt]) -> CheckReadings:
    """The readings with the doubted ones left blank."""
    return readings.model_copy(update={doubt.gauge: None for doubt in doubts})


UNLIKE: Ratio = 2.0
"""Of two stroke times that are all there is, the ratio from which neither is believed: a pump that
limps does not take twice as long from one stroke to the next. Common practice, no source."""
_TIMES: tuple[tuple[Literal["up_times", "down_times"], str, str], ...] = (
    ("up_times", Message("an up-stroke"), Message("Two up-strokes")),
    ("down_times", Message("a down-stroke"), Message("Two down-strokes")),
)


def time_remarks(readings: CheckReadings) -> tuple[str, ...]:
    """Stroke times that are left out, or that can't both be right."""
    told: list[str] = []
    for name, one, two in _TIMES:
        times = getattr(readings, name)
        out = times_left_out(times, readings.tap_spread)
        if out:
            listed = joined(", ", (show(t, _SECONDS) for t in out))
            told.append(
                Message(
                    "Left out, as far from the other times of {stroke}: {times}. A tap missed or "
                    "doubled, or a decimal place out.",
                    stroke=one,
                    times=listed,
                )
            )
        elif len(times) == 2 and max(times) > UNLIKE * min(times):
            told.append(
                Message(
                    "{strokes} took {first} and {second}: tap them again, eight or more.",
                    strokes=two,
                    first=show(times[0], _SECONDS),
                    second=show(times[1], _SECONDS),
                )
            )
    return tuple(told)


SHORT_SUPPLY: Ratio = 0.93
"""Of what is rated, the supply read under which it is remarked on. Common practice, no source."""


def supply_remark(pump: Pump, readings: CheckReadings) -> str:
    """That the supply reads less than the drive is rated for; blank where it doesn't."""
    read, rated = readings.supply_pressure, pump.drive.supply_rated
    if read is None or read >= SHORT_SUPPLY * rated:
        return ""
    return Message(
        "The supply reads {read} where the drive is rated for {rated}: {less:.0f} % less force. "
        "Set so on purpose, it is no fault; if not, see regulator, line and filter of the supply. "
        "What a sound pump shows is taken at the supply read.",
        read=show(read, _PRESSURE),
        rated=show(rated, _PRESSURE),
        less=100.0 * (1.0 - read / rated),
    )


def given_all_the_same(readings: CheckReadings) -> tuple[CheckKey, ...]:
    """Checks said not to be done whose readings are there."""
    fields = CheckReadings.model_fields
    return tuple(
        key
        for key in dict.fromkeys(readings.could_not)
        if all(
            any(getattr(readings, name) != fields[name].default for name in group)
            for group in _GIVEN_BY[key]
        )
    )


def remarks(readings: CheckReadings, doubts: Sequence[Doubt]) -> tuple[str, ...]:
    """What to know of the readings themselves, a sentence or two each."""
    told: list[str] = [doubt.told for doubt in doubts]
    told += time_remarks(readings)
    titles = {check.key: check.title for check in CHECKS}
    given = given_all_the_same(without(readings, doubts))
    both = [Message("“{check}”", check=titles[key]) for key in given]
    if both:
        first, last = joined(", ", both[:-1]), both[-1]
        told.append(
            plural(
                "{checks} stands under “could not do”, but a reading is entered: it is used.",
                "{checks} stand under “could not do”, but a reading is entered: it is used.",
                len(both),
                checks=Message("{those} and {last}", those=first, last=last) if first else last,
            )
        )
    if readings.changeover == "knocks":
        told.append(KNOCK)
    return tuple(told)
