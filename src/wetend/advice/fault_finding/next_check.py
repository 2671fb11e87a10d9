"""Which check not yet done is worth its minutes: by what it tells, and by the time it saves."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.fault_finding.causes import CAUSES_OF, Around
from wetend.advice.fault_finding.checks import CHECKS, Check
from wetend.advice.fault_finding.faults import CheckAdvice, Fault
from wetend.advice.fault_finding.observables import Key
from wetend.advice.fault_finding.opening import job_minutes, likeliest_jobs, needed_sets
from wetend.advice.fault_finding.posterior import Cloud
from wetend.advice.fault_finding.sample import ENOUGH, Sample
from wetend.pump.description import Pump
from wetend.pump.readings import CheckKey
from wetend.stats.decision import covered, least_cost_order
from wetend.stats.discrete import information as mutual
from wetend.units.quantity import Minutes

Array = NDArray[np.float64]

LEAST_BITS = 0.02
"""Information below which a check is not worth the walk."""
_MOST_IN_LEVELS = 1
"""Readings at once that are taken in levels; of more, the answers themselves are drawn."""
_JOBS_WEIGHED = 6
_RARE = 0.004
_SHY = 0.01
"""Weight of what was believed before, in the chances after an answer of many readings."""


def _joint(sample: Sample, states: NDArray[np.intp], count: int, keys: Sequence[Key]) -> Array:
    """Chances of reading levels (rows) and states (columns) together."""
    code, codes = sample.levels(keys)
    table = np.bincount(code * count + states, sample.cloud.weight, minlength=codes * count)
    return np.asarray(table, dtype=float).reshape(codes, count)


def _fault_states(cloud: Cloud, faults: Collection[Fault]) -> NDArray[np.intp]:
    state = np.zeros(len(cloud.weight), dtype=np.intp)
    for fault in faults:
        state = 2 * state + cloud.present[:, list(CAUSES_OF[fault])].any(axis=1)
    return state


def _bits(table: Array, effective: float) -> float:
    spare = int(np.sum(table.sum(axis=0) > 1e-3) - 1) * int(np.sum(table.sum(axis=1) > 1e-3) - 1)
    return max(mutual(table) - spare / (2.0 * math.log(2.0) * effective), 0.0)


def information(
    cloud: Cloud, faults: Collection[Fault], reads: Sequence[Key], *, seed: int = 0
) -> float:
    r"""Bits a check is expected to tell of which of these faults are there.

    .. math:: I = H(\text{faults}) + H(\text{reading}) - H(\text{faults}, \text{reading})

    Readings in levels of equal chance; the bias of a finite count is taken off. Source: Shannon's
    mutual information, with the correction of Miller and Madow, from memory.
    """
    sample = Sample(cloud, np.random.default_rng(seed))
    states = _fault_states(cloud, faults)
    return _bits(_joint(sample, states, 2 ** len(faults), reads), cloud.effective)


def _merged(states: NDArray[np.intp], weight: Array) -> tuple[NDArray[np.intp], int]:
    """States renumbered, the rare ones taken together, and how many there are."""
    mass = np.bincount(states, weight)
    kept = np.flatnonzero(mass >= _RARE)
    number = np.full(len(mass), len(kept), dtype=np.intp)
    number[kept] = np.arange(len(kept))
    return number[states], len(kept) + 1


@dataclass(frozen=True, eq=False)
class _Ask:
    """What checks tell on one belief."""

    sample: Sample
    effective: float
    questions: NDArray[np.intp]
    """What is to be told apart: which faults are there, rare sets of them taken together."""
    answers: int

    @classmethod
    def of(cls, cloud: Cloud) -> _Ask:
        sample = Sample.of(cloud)
        states = _fault_states(sample.cloud, list(Fault))
        questions, answers = _merged(states, sample.cloud.weight)
        return cls(sample, min(cloud.effective, float(ENOUGH)), questions, answers)

    def after(
        self, keys: Sequence[Key], states: NDArray[np.intp], count: int
    ) -> tuple[Array, NDArray[np.intp]]:
        """Chances of the states after each of some answers, and the true states.

        Half the pumps answer, and the other half are what the answers are weighed by, so that
        chance is not taken for knowledge.
        """
        weight = self.sample.likelihoods(keys)
        usual = np.bincount(states, self.sample.cloud.weight, minlength=count)
        found = weight @ np.eye(count, dtype=np.float32)[states[1::2]]
        found /= np.maximum(weight.sum(axis=1, keepdims=True), 1e-30)
        return (1.0 - _SHY) * found + _SHY * usual, states[self.sample.truth]

    def bits(self, keys: Sequence[Key]) -> float:
        r"""Information expected on which faults are there; of many readings it is
        :math:`E[\log_2 P(s \mid r) / P(s)]` with s the truth.
        """
        if len(keys) <= _MOST_IN_LEVELS:
            return _bits(_joint(self.sample, self.questions, self.answers, keys), self.effective)
        usual = np.bincount(self.questions, self.sample.cloud.weight, minlength=self.answers)
        after, true = self.after(keys, self.questions, self.answers)
        rows = np.arange(len(true))
        return max(float(np.mean(np.log2(after[rows, true] / usual[true]))), 0.0)


@dataclass(frozen=True, eq=False)
class _Worth:
    """What checks save on one belief."""

    ask: _Ask
    job_states: NDArray[np.intp]
    minutes: Array
    now: Minutes

    @classmethod
    def of(cls, cloud: Cloud, pump: Pump, around: Around) -> _Worth:
        ask = _Ask.of(cloud)
        drawn = ask.sample.cloud
        jobs = likeliest_jobs(drawn, pump, around, _JOBS_WEIGHED)
        states, minutes = needed_sets(drawn, jobs), job_minutes(pump, around, jobs)
        needed = np.bincount(states, drawn.weight, minlength=2 ** len(jobs))
        return cls(ask, states, minutes, float(least_cost_order(needed, minutes).cost[0]))

    def saves(self, keys: Sequence[Key]) -> Minutes:
        """Minutes by which reading these shortens the way to fixed; half the pumps plan, the other
        half are what the plans are tried on, so that chance is not taken for knowledge.
        """
        count, total = len(self.minutes), 0.0
        if len(keys) > _MOST_IN_LEVELS:
            after, true = self.ask.after(keys, self.job_states, count)
            tried = np.eye(count)[true] / len(true)
            plain = _tried(after.mean(axis=0, keepdims=True), tried, self.minutes)
            return max(plain - _tried(after, tried, self.minutes), 0.0)
        sample = self.ask.sample
        code, codes = sample.levels(keys)
        place, weight = code * count + self.job_states, sample.cloud.weight
        side = np.arange(len(weight)) % 2 == 0
        for plans, tries in ((side, ~side), (~side, side)):
            needed = _table(place, weight * plans, codes, count)
            tried = _table(place, weight * tries, codes, count)
            total += _tried(needed, tried, self.minutes)
        return max(self.now - total, 0.0)


def _table(place: NDArray[np.intp], weight: Array, rows: int, columns: int) -> Array:
    table = np.bincount(place, weight, minlength=rows * columns)
    return np.asarray(table, dtype=float).reshape(rows, columns)


def _tried(needed: Array, tried: Array, minutes: Array) -> Minutes:
    """Expected minutes of orders planned on one table, on the chances of another; a table of one
    row plans for all.
    """
    first = least_cost_order(needed + 1e-9, minutes).first
    first = np.broadcast_to(first, (len(tried), first.shape[1]))
    held = covered(tried)
    left = held[:, -1:] - held
    rows, done, total = np.arange(len(tried)), np.zeros(len(tried), dtype=np.intp), 0.0
    for _ in range(minutes.shape[1]):
        action = first[rows, done]
        total += float(np.sum(minutes[done, action] * left[rows, done]))
        done = done | (1 << action)
    return total


def _advice(check: Check, bits: float, saves: Minutes) -> CheckAdvice:
    return CheckAdvice(
        key=check.key, title=check.title, minutes=check.minutes, how=check.how, needs=check.needs,
        cautions=check.cautions, read_as=check.read_as, bits=bits,
        bits_a_minute=bits / check.minutes, saves=saves,
        worth=bits >= LEAST_BITS and saves > check.minutes,
    )  # fmt: skip


def told(cloud: Cloud, known: Collection[Key]) -> dict[CheckKey, float]:
    """Bits that each check not yet done is expected to tell of which faults are there."""
    ask = _Ask.of(cloud)
    lacking = {c.key: [key for key in c.reads if key not in known] for c in CHECKS}
    return {check: ask.bits(keys) for check, keys in lacking.items() if keys}


def rank_checks(
    cloud: Cloud, pump: Pump, around: Around, known: Collection[Key]
) -> tuple[CheckAdvice, ...]:
    """Every check not yet done: those worth their minutes first, most bits a minute first.

    A check is worth it when it shortens the way to fixed by more minutes than it takes; when none
    is, opening is worth more than asking.

    Args:
        cloud: the posterior.
        pump: as described.
        around: the tools to hand.
        known: what has been read, or could not be.
    """
    worth = _Worth.of(cloud, pump, around)
    found = []
    for check in CHECKS:
        lacking = [key for key in check.reads if key not in known]
        if lacking:
            found.append(_advice(check, worth.ask.bits(lacking), worth.saves(lacking)))
    return tuple(sorted(found, key=lambda a: (not a.worth, -a.bits_a_minute)))
