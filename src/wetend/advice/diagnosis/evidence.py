"""The readings given, turned into likelihoods that one bad reading can't overthrow."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.observables import OBSERVABLES, Observable, SimulatedStrokes
from wetend.advice.faults.record import Key
from wetend.errors import BadInput
from wetend.pump.readings import CheckReadings
from wetend.units.message import Message

Array = NDArray[np.float64]
Misfit = TypeVar("Misfit", NDArray[np.float64], NDArray[np.float32])

TAIL = 4.0
"""Degrees of freedom of Student's t: how calmly a wild reading is taken."""


@dataclass(frozen=True)
class Reading:
    """One figure or sight given, with its error on the observable's scale."""

    what: Observable
    value: float
    """SI; 1 or 0 for what is seen or not."""
    error: float
    said: str = ""
    """How it is named, where it is not by what it is read as."""

    def misfit(self, played: SimulatedStrokes) -> Array:
        """Errors by which each pump's reading is off; zero for what is seen or not.

        A gauge at stall was read going up or going down, whichever fits: with unlike areas they
        differ.
        """
        if self.what.unit is None:
            return np.zeros_like(played.reads[self.what.key])
        seen = self.what.scale(np.asarray(self.value))
        off = [(seen - self.what.scale(reads)) / self.error for reads in played.ways(self.what.key)]
        return off[0] if len(off) == 1 else np.where(abs(off[0]) < abs(off[1]), *off)

    def log_likelihood(self, played: SimulatedStrokes) -> Array:
        r"""Logarithm of this reading's likelihood for each pump, up to a constant.

        .. math:: -\tfrac{\nu+1}{2} \log(1 + z^2/\nu), \qquad \nu = 4

        Source: Student's t in place of the normal law, so that outliers lose weight; standard
        robust practice.
        """
        if self.what.unit is None:
            chance = played.reads[self.what.key]
            return np.log(chance if self.value > 0.5 else 1.0 - chance)
        return student(self.misfit(played))


def student(misfit: Misfit) -> Misfit:
    """Logarithm of Student's law of so many errors, up to a constant."""
    found: Misfit = np.square(misfit)
    found /= TAIL
    np.log1p(found, out=found)
    found *= -0.5 * (TAIL + 1.0)
    return found


def steady_time(times: Sequence[float], tap_spread: float) -> tuple[float, float]:
    """Mean stroke time without missed or doubled taps, and its standard error.

    A stroke lies between two taps, so one stroke's error is the tap's times the root of two, or
    what the strokes themselves scatter by where that is more.

    >>> steady_time([1.4, 1.5, 1.4, 2.9, 1.5], tap_spread=0.05)
    (1.45, 0.0354)
    """
    values = np.asarray(times, dtype=float)
    kept, one = values[_near(values, tap_spread)], math.sqrt(2.0) * tap_spread
    spread = max(one, float(np.std(kept))) if len(kept) > 2 else one
    return float(np.mean(kept)), spread / math.sqrt(len(kept))


def _near(values: Array, tap_spread: float) -> NDArray[np.bool_]:
    """Which stroke times lie near their middle."""
    off = np.abs(values - float(np.median(values)))
    scatter = max(1.4826 * float(np.median(off)), math.sqrt(2.0) * tap_spread)
    return np.asarray(off <= 3.0 * scatter)


def times_left_out(times: Sequence[float], tap_spread: float) -> tuple[float, ...]:
    """Stroke times that :func:`steady_time` takes no account of.

    >>> times_left_out([1.4, 1.5, 1.4, 14.0, 1.5], tap_spread=0.05)
    (14.0,)
    """
    values = np.asarray(times, dtype=float)
    return tuple(float(t) for t in values[~_near(values, tap_spread)]) if len(values) else ()


def _times(key: Key, times: Sequence[float], tap_spread: float) -> list[Reading]:
    if not times:
        return []
    mean, error = steady_time(times, tap_spread)
    return [Reading(OBSERVABLES[key], mean, math.hypot(OBSERVABLES[key].relative, error / mean))]


def _strokes(readings: CheckReadings) -> list[Reading]:
    """Stroke times: both together as rhythm and pace, which are told apart better than either.

    Strokes tapped in a row share their turns: what one loses the next one gains, so their sum is as
    good as its two ends, and their ratio takes both errors at once.
    """
    ups, downs, spread = readings.up_times, readings.down_times, readings.tap_spread
    if not ups or not downs:
        return _times("up_time", ups, spread) + _times("down_time", downs, spread)
    (up, up_error), (down, down_error) = (steady_time(t, spread) for t in (ups, downs))
    rhythm = OBSERVABLES["rhythm"]
    tapped = up_error / up + down_error / down
    found = [Reading(rhythm, up / down, math.hypot(rhythm.relative, tapped))]
    if readings.cycle_rate is None:
        pace, count = OBSERVABLES["cycle_rate"], min(len(ups), len(downs))
        error = math.hypot(up_error, down_error)
        if abs(len(ups) - len(downs)) <= 1:
            error /= math.sqrt(count)
        found.append(
            Reading(pace, 1.0 / (up + down), math.hypot(pace.relative, error / (up + down)))
        )
    return found


def _figures(readings: CheckReadings) -> list[Reading]:
    found: list[Reading] = []

    def take(key: Key, value: float | None) -> None:
        if value is not None:
            what = OBSERVABLES[key]
            found.append(Reading(what, value, float(what.error(np.asarray(value, dtype=float)))))

    volume, time, cycles = (
        readings.bucket_volume, readings.bucket_time, readings.bucket_cycles,
    )  # fmt: skip
    take("spray_pressure", readings.spray_pressure)
    take("stall_pressure", readings.stall_pressure)
    take("creep_up", readings.creep_up)
    take("creep_down", readings.creep_down)
    take("supply_pressure", readings.supply_pressure)
    take("cycle_rate", readings.cycle_rate)
    take("drop", readings.drop)
    take("slow_drop", readings.slow_drop)
    take("turn_pause", readings.turn_pause)
    if volume and cycles:
        take("cycle_volume", volume / cycles)
    if time and cycles and readings.cycle_rate is None:
        take("cycle_rate", cycles / time)
    elif volume and time:
        take("flow", volume / time)
    return found


SIGHTS: dict[Key, tuple[str, str, str]] = {
    "wet_cup": ("wet_cup", "clean", "coating in it"),
    "early_drop": ("early_drop", "no", "yes"),
    "creep_place": (
        "creep_place",
        "the same everywhere",
        "differs along the stroke",
    ),
    "suction_lifted": ("suction_lifted", "holds", "runs back"),
    "fresh_suction": ("fresh_suction", "no change", "better"),
    "air_seen": ("air_seen", "no", "yes"),
    "filter_looked": ("filter_looked", "clean", "blocked"),
    "nozzle_changed": ("nozzle_changed", "no change", "better"),
    "outside_looked": ("outside_looked", "dry", "wet"),
    "solvent_test": ("solvent_test", "holds", "weeps"),
    "wash": ("wash", "no change", "better"),
    "nozzle_turned": ("nozzle_turned", "no change", "better"),
}
"""For what is seen or not: the reading's field, its word for no, its word for yes."""


def _sights(readings: CheckReadings) -> list[Reading]:
    found = []
    for key, (name, no, yes) in SIGHTS.items():
        said = getattr(readings, name)
        if name == "early_drop" and readings.drop is not None:  # measured says it all
            continue
        if said in (no, yes):
            found.append(Reading(OBSERVABLES[key], float(said == yes), 0.0))
    if readings.changeover in ("even", "slow") and readings.turn_pause is None:
        slow = float(readings.changeover == "slow")
        found.append(Reading(OBSERVABLES["slow_turn"], slow, 0.0))
    if readings.changeover in ("even", "knocks"):
        knocks = float(readings.changeover == "knocks")
        found.append(Reading(OBSERVABLES["knock"], knocks, 0.0))
    return found


def evidence_of(readings: CheckReadings) -> tuple[Reading, ...]:
    """The readings as likelihoods, in the order a person reads them; there may be none."""
    return tuple(_strokes(readings) + _figures(readings) + _sights(readings))


def evidence(readings: CheckReadings) -> tuple[Reading, ...]:
    """As :func:`evidence_of`, for an answer that needs at least one.

    Raises:
        BadInput: nothing was read.
    """
    found = evidence_of(readings)
    if not found and any((readings.bucket_volume, readings.bucket_time, readings.bucket_cycles)):
        raise BadInput(
            Message("The bucket needs two of the three: volume, time, cycles; enter one more.")
        )
    if not found:
        raise BadInput(
            Message(
                "No reading was entered; time the strokes or read a gauge, and leave the "
                "rest blank."
            )
        )
    return found
