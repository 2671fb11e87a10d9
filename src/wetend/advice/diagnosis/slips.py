"""Readings that look like a slip: a decimal place out, two entered in each other's place.

A slip is one that would make a reading fit the others far better than it does as it was entered.
How often people slip is common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.answers import Prediction
from wetend.advice.diagnosis.evidence import Reading, student
from wetend.advice.diagnosis.posterior import WeightedSample
from wetend.advice.diagnosis.words import Formatter
from wetend.advice.faults.record import Key
from wetend.units.message import Message
from wetend.units.show import show

Array = NDArray[np.float64]

DECIMAL, EXCHANGED = 0.004, 0.05
"""How often a decimal place is out, and two of a pair stand in each other's place."""
_SURE = 20.0
"""Odds of a slip from which the reading is to be taken again before anything is said."""
_STEP = 1e-3
_UNEVEN, _CREEPS = 0.1, 10e-3 / 60
"""Logarithm of a rhythm over a sound pump's, and creep (m/s), from which they are noticed."""
_PACED: tuple[Key, Key, Key] = ("rhythm", "creep_up", "creep_down")


@dataclass(frozen=True)
class Slip:
    """One reading, or two, that look like a slip."""

    readings: tuple[Reading, ...]
    odds: float
    """Of the slip against the readings as they were entered."""
    told: str

    @property
    def sure(self) -> bool:
        """Whether it is to be taken again before anything is said."""
        return self.odds >= _SURE


def _density(reading: Reading, cloud: WeightedSample) -> Array:
    """Of a reading's logarithm on each pump, up to what a factor of ten leaves alone."""
    value, what = reading.value, reading.what
    near = np.array([value * (1.0 - _STEP), value * (1.0 + _STEP)])
    low, high = what.scale(near)
    return np.asarray(
        np.exp(student(reading.misfit(cloud.played))) * (high - low) / (2 * _STEP) / reading.error
    )


def _rest(cloud: WeightedSample, left_out: Sequence[int]) -> Array:
    """Weights of the pumps by all readings but these."""
    logs = np.log(cloud.prior_weight + 1e-300) + cloud.log_likelihoods.sum(axis=1)
    logs = logs - cloud.log_likelihoods[:, list(left_out)].sum(axis=1)
    weight = np.exp(logs - logs.max())
    return np.asarray(weight / weight.sum())


def _moved(reading: Reading, value: float) -> Reading:
    what = reading.what
    error = float(what.error(np.asarray(value))) if what.absolute else reading.error
    return replace(reading, value=value, error=error)


def _decimal(
    cloud: WeightedSample, readings: Sequence[Reading], k: int, teller: Formatter
) -> Slip | None:
    reading = readings[k]
    if reading.what.unit is None or reading.value <= 0.0 or reading.what.key == "rhythm":
        return None
    weight = _rest(cloud, [k])
    given = float(weight @ _density(reading, cloud))
    moved = [_moved(reading, reading.value * factor) for factor in (0.1, 10.0)]
    likely, other = max(
        ((float(weight @ _density(each, cloud)), each) for each in moved), key=lambda of: of[0]
    )
    odds = DECIMAL * likely / max(given, 1e-300)
    if odds < 1.0:
        return None
    told = Message(
        "{reading}: a decimal place out? {value} would fit the rest. Read it again.",
        reading=teller.phrase(reading),
        value=show(other.value, reading.what.unit),
    )
    return Slip((reading,), odds, told)


def _exchanged_creeps(readings: Sequence[Reading], sound: Prediction) -> Slip | None:
    """Creep the other way than the quick stroke's: by the trade's symptom table, no source."""
    by_key = {reading.what.key: reading for reading in readings}
    rhythm, up, down = (by_key.get(key) for key in _PACED)
    if rhythm is None or up is None or down is None:
        return None
    off = math.log(rhythm.value * sound.down_time / sound.up_time)
    if abs(off) < max(_UNEVEN, 2.0 * rhythm.error):
        return None
    way, other = (
        (down, up) if off > 0 else (up, down)
    )  # the quick stroke's own creep, and the other
    if other.value < max(3.0 * way.value, _CREEPS):
        return None
    told = Message(
        "The stroke one way is quick, and the rod creeps the other way: were the two creeps "
        "exchanged? Stall it again, once each way, and enter each where it belongs."
    )
    return Slip((up, down), 1.0, told)


def _exchanged_strokes(cloud: WeightedSample, readings: Sequence[Reading], k: int) -> Slip | None:
    weight, reading = _rest(cloud, [k]), readings[k]
    given, turned = (
        float(weight @ np.exp(each.log_likelihood(cloud.played)))
        for each in (reading, replace(reading, value=1.0 / reading.value))
    )
    odds = EXCHANGED * turned / max(given, 1e-300)
    if odds < 1.0:
        return None
    told = Message(
        "Up-stroke and down-stroke times would fit the rest if they were exchanged: tap them "
        "again, and see which way the first stroke goes."
    )
    return Slip((reading,), odds, told)


def slips(
    cloud: WeightedSample, readings: Sequence[Reading], teller: Formatter
) -> tuple[Slip, ...]:
    """Readings that look like a slip, the likeliest slip first; none where nothing else is read.

    Args:
        cloud: the pumps weighed by these readings.
        readings: in the order of the cloud's columns.
        teller: for naming them.
    """
    found = [_decimal(cloud, readings, k, teller) for k in range(len(readings))]
    found += [
        _exchanged_strokes(cloud, readings, k)
        for k, reading in enumerate(readings)
        if reading.what.key == "rhythm" and len(readings) > 1
    ]
    found.append(_exchanged_creeps(readings, teller.healthy))
    return tuple(sorted((s for s in found if s), key=lambda slip: -slip.odds))
