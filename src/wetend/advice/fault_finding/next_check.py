"""Which check not yet done would best tell the two likeliest faults apart."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.fault_finding.faults import Fault
from wetend.advice.fault_finding.observables import OBSERVABLES, Key
from wetend.advice.fault_finding.posterior import Cloud
from wetend.advice.fault_finding.prior import CAUSES_OF
from wetend.units.quantity import Minutes

Array = NDArray[np.float64]

LEAST_BITS = 0.03
"""Information below which a check is not worth the walk."""
_BUCKET: set[Key] = {"flow", "cycle_volume"}
_BINS = {1: 12, 2: 6, 3: 4}


@dataclass(frozen=True)
class Check:
    """One running check: what it reads, how long it takes, how it is done."""

    title: str
    reads: tuple[Key, ...]
    minutes: Minutes
    """In minutes; common practice, no source."""
    how: str


CHECKS = (
    Check("Look in the wet cup", ("wet_cup",), 0.5,
          "Look in the wet cup: clean, or coating in it? Keep hands off the rod."),
    Check("Read the gauge while spraying", ("spray_pressure",), 1.0,
          "Trigger the gun into an earthed pail and read the gauge once the strokes are steady. "
          "Never point the nozzle at anyone."),
    Check("Read the supply", ("supply_pressure",), 1.0,
          "Read the supply pressure at the drive while the pump runs."),
    Check("Watch the down-stroke start", ("early_drop",), 1.0,
          "Watch the start of the down-stroke: does the rod drop quickly, then slow to normal?"),
    Check("Read the gauge at stall", ("stall_pressure",), 1.5,
          "Shut the gun, trigger lock on, let the pump stall and read the gauge. The hose stays "
          "under full pressure."),
    Check("Time the strokes", ("up_time", "down_time"), 2.0,
          "Spray steadily and tap at each turn of the rod, eight strokes or more."),
    Check("Stall it and watch for creep", ("creep_up", "creep_down"), 3.0,
          "Stall it, gun shut and locked, once going up and once going down; measure how far the "
          "rod creeps in a minute. It can move at any moment: hands clear of rod and coupling."),
    Check("Bucket test", ("cycle_volume", "cycle_rate"), 6.0,
          "Spray into an earthed pail by the watch, counting cycles, and measure what was caught. "
          "Keep the nozzle away from skin."),
)  # fmt: skip
"""Running checks with their time and way."""


def _levels(cloud: Cloud, key: Key, bins: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """Each pump's reading with an error drawn, as one of so many levels."""
    what, value = OBSERVABLES[key], cloud.played.reads[key]
    if what.unit is None:
        return np.asarray(rng.random(len(value)) < value, dtype=np.intp)
    seen = what.scale(value) + what.error(value) * rng.standard_normal(len(value))
    order = np.argsort(seen, kind="stable")
    reached = np.empty(len(value))
    reached[order] = np.cumsum(cloud.weight[order])
    return np.minimum((reached * bins).astype(np.intp), bins - 1)


def _entropy(table: Array) -> float:
    held = table[table > 0]
    return float(-np.sum(held * np.log2(held)))


def information(
    cloud: Cloud, faults: Collection[Fault], reads: Collection[Key], *, seed: int = 0
) -> float:
    r"""Bits a check is expected to tell of which of these faults are there.

    .. math:: I = H(\text{faults}) + H(\text{reading}) - H(\text{faults}, \text{reading})

    Readings in levels of equal chance; the bias of a finite count is taken off. Source: Shannon's
    mutual information, with the correction of Miller and Madow, from memory.
    """
    rng = np.random.default_rng(seed)
    state = np.zeros(len(cloud.weight), dtype=np.intp)
    for fault in faults:
        state = 2 * state + cloud.present[:, list(CAUSES_OF[fault])].any(axis=1)
    bins = _BINS[len(reads)]
    code = np.zeros_like(state)
    for key in reads:
        code = code * bins + _levels(cloud, key, bins, rng)
    states, codes = 2 ** len(faults), bins ** len(reads)
    joint = np.zeros(states * codes)
    np.add.at(joint, state * codes + code, cloud.weight)
    table = joint.reshape(states, codes)
    by_state, by_code = table.sum(axis=1), table.sum(axis=0)
    raw = _entropy(by_state) + _entropy(by_code) - _entropy(joint)
    spare = int(np.sum(by_state > 1e-3) - 1) * int(np.sum(by_code > 1e-3) - 1)
    return max(raw - spare / (2.0 * math.log(2.0) * cloud.effective), 0.0)


def best_check(
    cloud: Cloud, faults: Collection[Fault], done: Collection[Key]
) -> tuple[Check, float] | None:
    """The check of most bits a minute among those that tell enough, with its bits.

    Args:
        cloud: the posterior.
        faults: the two to tell apart.
        done: what has been read already.

    Returns:
        ``None`` where no check left is worth it.
    """
    worth = []
    known: set[Key] = {*done, "cycle_volume", "cycle_rate"} if _BUCKET & {*done} else {*done}
    for check in CHECKS:
        lacking = [key for key in check.reads if key not in known]
        if lacking:
            worth.append((check, information(cloud, faults, lacking)))
    most = max((bits for _, bits in worth), default=0.0)
    enough = [(c, bits) for c, bits in worth if bits >= max(LEAST_BITS, most / 3.0)]
    return max(enough, key=lambda item: item[1] / item[0].minutes, default=None)
