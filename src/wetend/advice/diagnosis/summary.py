"""Figures read off the weighed pumps: chances, sizes, fit, and what each reading says."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.answers import Prediction, Size
from wetend.advice.diagnosis.causes import combinations_of_causes
from wetend.advice.diagnosis.evidence import Reading
from wetend.advice.diagnosis.lumps import carried_away
from wetend.advice.diagnosis.posterior import WeightedSample
from wetend.advice.faults.record import Fault, Key
from wetend.advice.faults.tables import EXTENTS, FAULTS, INSIDE
from wetend.advice.reasons import Interval
from wetend.lazy_import import special
from wetend.units import quantity
from wetend.units.message import Message
from wetend.units.quantity import Ratio, unit_of

Array = NDArray[np.float64]

EXPLAINED_FROM = 0.002
"""Posterior predictive chance below which the readings count as not explained. The trade's plain
case of a piston valve, an up-stroke a third quick, lies between 0.003 and 0.05: a steady model with
a soft hose makes less of it than crews report. Of pumps played in time, one in two hundred or so
lies lower; readings that contradict each other lie under 0.001.
"""
UNFORESEEN = 0.03
"""Share of answers taken to rest on a model that is wrong for this pump: on pumps that it never met
(benchmarks/independent_player.py) chances given as 0.1 % came true in 1 %."""
UNLIKELY_SIGHTS = 0.01
"""Chance of sights as odd as these, all together, below which they count as not explained."""
_REPEATED = 2000
"""Pumps that what is seen is held against."""
_ENOUGH = 15.0
"""Pumps that must count, where so many are drawn as a page draws: what hangs on fewer is chance."""
_NOTHING = 1e-15
"""Share of all weight from which a pump counts: all below it together stay under 1e-10."""
ASTRAY, FAR = 3.5, 5.0
"""Errors by which a reading that doesn't fit the rest is off; and by which it, or two of the first
kind, are not explained."""


def has(cloud: WeightedSample, fault: Fault) -> NDArray[np.bool_]:
    """Which pumps have this fault, from whichever cause."""
    return np.asarray(cloud.present[:, list(fault.causes)].any(axis=1))


def chance(cloud: WeightedSample, fault: Fault) -> float:
    """Posterior probability of a fault."""
    return float(np.clip(cloud.weight[has(cloud, fault)].sum(), 0.0, 1.0))


def stated(cloud: WeightedSample, fault: Fault) -> float:
    """The chance of a fault that is shown: with what the model does not foresee.

    One answer in so many is taken to rest on a model that is wrong for this pump, so that nothing
    but what is usual is known: chances under one in a hundred then are what comes true.
    """
    usual = float(cloud.prior_weight[has(cloud, fault)].sum())
    return (1.0 - UNFORESEEN) * chance(cloud, fault) + UNFORESEEN * min(max(usual, 0.0), 1.0)


def soundness(cloud: WeightedSample) -> float:
    """Posterior probability that foot valve, piston and static packings all hold."""
    worn = np.any([has(cloud, fault) for fault in INSIDE], axis=0)
    return float(np.clip(cloud.weight[~worn].sum(), 0.0, 1.0))


def carried(cloud: WeightedSample, readings: Sequence[Reading]) -> dict[Fault, Ratio]:
    """Chance of each fault to have been a lump that a check done has carried away."""
    keys = [reading.what.key for reading in readings]
    gone = carried_away(cloud.played.lump, combinations_of_causes()[cloud.causes], keys)
    found = {f: float(cloud.weight[gone[:, list(f.causes)].any(axis=1)].sum()) for f in FAULTS}
    return {fault: chance for fault, chance in found.items() if chance > 0.0}


def interval(values: Array, weight: Array) -> Interval | None:
    """Median and central 90 % of weighed values; ``None`` where nothing has weight.

    >>> interval(np.arange(101.0), np.ones(101))
    Interval(low=5.0, middle=50.0, high=95.0)
    """
    total = float(weight.sum())
    if total <= 0.0:
        return None
    counting = weight > _NOTHING * total
    values, weight = values[counting], weight[counting]
    order = np.argsort(values)
    reached = np.cumsum(weight[order]) / total
    at = np.searchsorted(reached, (0.05, 0.5, 0.95))
    low, middle, high = values[order][np.minimum(at, len(values) - 1)]
    return Interval(float(low), float(middle), float(high))


def leak_size(cloud: WeightedSample, fault: Fault) -> Interval | None:
    """Leak at stall given that the fault is there, m^3/s."""
    cause = fault.causes[0]
    if cause not in cloud.played.leak:
        return None
    mine = has(cloud, fault)
    return interval(cloud.played.leak[cause][mine], cloud.weight[mine])


def stroke_share(cloud: WeightedSample, fault: Fault) -> Interval | None:
    """Share of the stroke lost given that the fault is there."""
    cause = fault.causes[0]
    if cause not in cloud.played.share:
        return None
    mine = has(cloud, fault)
    return interval(cloud.played.share[cause][mine], cloud.weight[mine])


_LEAKS, _DROPS = unit_of(quantity.LeakFlow), unit_of(quantity.Percent)


def size_of(
    cloud: WeightedSample, fault: Fault, leak: Interval | None, share: Interval | None
) -> Size | None:
    """How big a fault is if it is there; ``None`` where no pump that counts has it.

    Args:
        cloud: the weighed pumps.
        fault: whose size.
        leak: :func:`leak_size` of it.
        share: :func:`stroke_share` of it.
    """
    cause = fault.causes[0]
    if cause in cloud.played.leak:
        told: str = Message("leak at stall")
        unit, found = _LEAKS, leak
    elif cause in EXTENTS:
        told, unit, mine = EXTENTS[cause].what, EXTENTS[cause].unit, has(cloud, fault)
        found = interval(cloud.played.extent[cause][mine], cloud.weight[mine])
    else:
        told, unit, found = Message("quick drop, share of the stroke,"), _DROPS, share
    return None if found is None else Size(told, found, unit)


def fit(cloud: WeightedSample, readings: Sequence[Reading]) -> float:
    r"""Posterior predictive chance of readings as far off as these, figures or sights, whichever
    is less.

    .. math:: \sum_i w_i\, P(\chi^2_n \ge \textstyle\sum_r z_{ir}^2)

    Sights count by how often pumps as these show what is as odd all together, scaled so that
    :data:`UNLIKELY_SIGHTS` of them are as bad as :data:`EXPLAINED_FROM` of figures.

    Source: posterior predictive check, Gelman and others, Bayesian Data Analysis, chapter 6, from
    memory.
    """
    measured = sum(r.what.unit is not None for r in readings)
    seen_as_odd = min(sights_fit(cloud, readings) * EXPLAINED_FROM / UNLIKELY_SIGHTS, 1.0)
    if seen_as_odd >= EXPLAINED_FROM:
        seen_as_odd = 1.0
    if measured == 0:
        return seen_as_odd
    counting = np.flatnonzero(cloud.weight > _NOTHING)
    off = np.sum(cloud.misfits[counting] ** 2, axis=1)
    seen = cloud.weight[counting] * special.chdtrc(float(measured), off)
    return min(float(np.clip(seen.sum(), 0.0, 1.0)), seen_as_odd)


def sights_fit(cloud: WeightedSample, readings: Sequence[Reading]) -> float:
    """Posterior predictive chance of sights as odd as these all together; 1 for none."""
    shown = [k for k, r in enumerate(readings) if r.what.unit is None]
    if not shown:
        return 1.0
    rng = np.random.default_rng(0)
    ends = (np.arange(_REPEATED) + 0.5) / _REPEATED
    rows = np.minimum(np.searchsorted(np.cumsum(cloud.weight), ends), len(cloud.weight) - 1)
    seen = np.exp(cloud.log_likelihoods[rows][:, shown])
    again = np.where(rng.random(seen.shape) < seen, seen, 1.0 - seen)
    odd = np.log(seen).sum(axis=1) + 1e-9 >= np.log(again).sum(axis=1)
    return float(np.mean(odd))


def explains(cloud: WeightedSample, fitting: float) -> bool:
    """Whether a mixture of faults explains the readings, and not by one odd pump in thousands."""
    return fitting >= EXPLAINED_FROM and cloud.effective >= min(_ENOUGH, 5e-4 * len(cloud.weight))


def astray(
    cloud: WeightedSample, readings: Sequence[Reading], *, least: float = ASTRAY
) -> tuple[Reading, ...]:
    """Readings that don't fit what the rest say, worst first; ``least`` errors off."""
    off = np.sum(cloud.weight[:, None] * np.abs(cloud.misfits), axis=0)[: len(readings)]
    return tuple(readings[i] for i in np.argsort(-off) if off[i] > least)


def middle_prediction(cloud: WeightedSample) -> Prediction:
    """What the pump reads: the posterior median of each reading."""

    def middle(key: Key) -> float:
        found = interval(cloud.played.reads[key], cloud.weight)
        return found.middle if found else 0.0

    return Prediction(
        up_time=middle("up_time"),
        down_time=middle("down_time"),
        spray_pressure=middle("spray_pressure"),
        stall_pressure=middle("stall_pressure"),
        creep_up=middle("creep_up"),
        creep_down=middle("creep_down"),
        flow=middle("flow"),
        cycle_rate=middle("cycle_rate"),
    )
