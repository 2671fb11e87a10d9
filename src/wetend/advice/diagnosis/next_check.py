"""Which check not yet done is worth its minutes: by what it tells, and by the time it saves."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.answers import CheckAdvice
from wetend.advice.diagnosis.causes import Around
from wetend.advice.diagnosis.checks import CHECKS, Check, checks_for
from wetend.advice.diagnosis.opening import job_minutes, likeliest_jobs, needed_sets
from wetend.advice.diagnosis.posterior import WeightedSample
from wetend.advice.diagnosis.sample import ENOUGH, Sample
from wetend.advice.diagnosis.summary import has as has_fault
from wetend.advice.faults.record import Fault, Key
from wetend.advice.faults.tables import CARRIED_AWAY, FAULTS
from wetend.pump.description import Pump
from wetend.stats.decision import covered, least_cost_order
from wetend.stats.discrete import information as mutual
from wetend.units.quantity import Minutes, Ratio

Array = NDArray[np.float64]

LEAST_BITS = 0.02
"""Information below which a check is not worth the walk."""
_MOST_IN_LEVELS = 1
"""Readings at once that are taken in levels; of more, the answers themselves are drawn."""
_JOBS_WEIGHED = 6
_RARE = 0.004
_OPEN, _MOST_OPEN = 0.04, 8
"""Chance from which a fault counts as open, and how many of those are held against each other."""
_AS_WELL = 0.35
"""Share of what is told of one fault that must be told of another, for the two to be named."""
_SHY = 0.01
"""Weight of what was believed before, in the chances after an answer of many readings."""


def _joint(sample: Sample, states: NDArray[np.intp], count: int, keys: Sequence[Key]) -> Array:
    """Chances of reading levels (rows) and states (columns) together."""
    code, codes = sample.levels(keys)
    table = np.bincount(code * count + states, sample.cloud.weight, minlength=codes * count)
    return np.asarray(table, dtype=float).reshape(codes, count)


def _fault_states(cloud: WeightedSample, faults: Collection[Fault]) -> NDArray[np.intp]:
    state = np.zeros(len(cloud.weight), dtype=np.intp)
    for fault in faults:
        state = 2 * state + cloud.present[:, list(fault.causes)].any(axis=1)
    return state


def _bits(table: Array, effective: float) -> float:
    spare = int(np.sum(table.sum(axis=0) > 1e-3) - 1) * int(np.sum(table.sum(axis=1) > 1e-3) - 1)
    return max(mutual(table) - spare / (2.0 * math.log(2.0) * effective), 0.0)


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
    def of(cls, cloud: WeightedSample) -> _Ask:
        sample = Sample.of(cloud)
        states = _fault_states(sample.cloud, FAULTS)
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

    @cached_property
    def usual(self) -> Array:
        """Chances of the answers as believed now."""
        weight = self.sample.cloud.weight
        return np.asarray(np.bincount(self.questions, weight, minlength=self.answers), dtype=float)

    def bits(self, keys: Sequence[Key]) -> float:
        """Information expected on which faults are there after it."""
        return self.tells(keys)[0]

    def tells(self, keys: Sequence[Key]) -> tuple[float, Ratio]:
        r"""Information expected on which faults are there after it, and the chance that what is
        likeliest then is right; of many readings the first is
        :math:`E[\log_2 P(s \mid r) / P(s)]` with s the truth.
        """
        if CARRIED_AWAY.keys() & set(keys):
            left = self.sample.cloud.after(keys)
            states, count = _merged(_fault_states(left, FAULTS), left.weight)
            table = _joint(self.sample, states, count, keys)
            return _bits(table, self.effective), float(table.max(axis=1).sum())
        if len(keys) <= _MOST_IN_LEVELS:
            table = _joint(self.sample, self.questions, self.answers, keys)
            return _bits(table, self.effective), float(table.max(axis=1).sum())
        after, true = self.after(keys, self.questions, self.answers)
        rows = np.arange(len(true))
        bits = max(float(np.mean(np.log2(after[rows, true] / self.usual[true]))), 0.0)
        return bits, float(after.max(axis=1).mean())


@dataclass(frozen=True, eq=False)
class _Worth:
    """What checks save on one belief."""

    ask: _Ask
    jobs: Sequence[int]
    job_states: NDArray[np.intp]
    minutes: Array
    minutes_now: Minutes

    @classmethod
    def of(cls, cloud: WeightedSample, pump: Pump, around: Around) -> _Worth:
        ask = _Ask.of(cloud)
        drawn = ask.sample.cloud
        jobs = likeliest_jobs(drawn, pump, around, _JOBS_WEIGHED)
        states, minutes = needed_sets(drawn, jobs), job_minutes(pump, around, jobs)
        needed = np.bincount(states, drawn.weight, minlength=2 ** len(jobs))
        return cls(ask, jobs, states, minutes, float(least_cost_order(needed, minutes).cost[0]))

    def minutes_saved(self, keys: Sequence[Key]) -> Minutes:
        """Minutes by which reading these shortens the way to fixed; half the pumps plan, the other
        half are what the plans are tried on, so that chance is not taken for knowledge. What the
        check carries away by itself is not needed any more, whatever is read.
        """
        count, total = len(self.minutes), 0.0
        if len(keys) > _MOST_IN_LEVELS:
            after, true = self.ask.after(keys, self.job_states, count)
            tried = np.eye(count)[true] / len(true)
            plain = _tried(after.mean(axis=0, keepdims=True), tried, self.minutes)
            return max(plain - _tried(after, tried, self.minutes), 0.0)
        sample = self.ask.sample
        code, codes = sample.levels(keys)
        states = self.job_states
        if CARRIED_AWAY.keys() & set(keys):
            states = needed_sets(sample.cloud.after(keys), self.jobs)
        place, weight = code * count + states, sample.cloud.weight
        side = np.arange(len(weight)) % 2 == 0
        for plans, tries in ((side, ~side), (~side, side)):
            needed = _table(place, weight * plans, codes, count)
            tried = _table(place, weight * tries, codes, count)
            total += _tried(needed, tried, self.minutes)
        return max(self.minutes_now - total, 0.0)


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


@dataclass(frozen=True, eq=False)
class _Settles:
    """Which faults a check tells apart best, among those that may be there."""

    sample: Sample
    present: Mapping[Fault, NDArray[np.bool_]]

    @classmethod
    def of(cls, cloud: WeightedSample) -> _Settles:
        has = {f: has_fault(cloud, f) for f in FAULTS}
        chances = {f: float(cloud.weight[own].sum()) for f, own in has.items()}
        open_ = sorted((f for f, p in chances.items() if p >= _OPEN), key=lambda f: -chances[f])
        # errors are drawn apart, so that what is computed of the checks' worth stays as it is
        sample = Sample(cloud, np.random.default_rng(1))
        return cls(sample, {f: has[f] for f in open_[:_MOST_OPEN]})

    def by(self, keys: Sequence[Key]) -> str:
        """In words; blank where it tells hardly anything apart."""
        read = [self.sample.levels([key]) for key in keys]
        alone = {f: self._told(read, own, ~own) for f, own in self.present.items()}
        ranked = sorted(alone, key=lambda f: -alone[f])
        if not ranked or alone[ranked[0]] < LEAST_BITS:
            return ""
        first, *others = ranked
        rivals = [f for f in others if alone[f] >= _AS_WELL * alone[first]]
        told = {f: self._told(read, self.present[first], self.present[f]) for f in rivals}
        rival = max(told, key=lambda f: told[f], default=None)
        if rival is None or told[rival] < LEAST_BITS:
            return f"{first.short} or not"
        return f"{first.short} against {rival.short}"

    def _told(
        self, read: Sequence[tuple[NDArray[np.intp], int]], one: NDArray[np.bool_],
        other: NDArray[np.bool_],
    ) -> float:  # fmt: skip
        """Information on which of two is there, in the share of pumps that have just one."""
        alone = one ^ other
        weight = np.where(alone, self.sample.cloud.weight, 0.0)
        share = float(weight.sum())
        if share <= 0.0:
            return 0.0
        tables = (_table(2 * code + one, weight / share, levels, 2) for code, levels in read)
        return share * max(mutual(table) for table in tables)


def _advice(check: Check, told: tuple[float, Ratio], saves: Minutes, *, now: Ratio) -> CheckAdvice:
    bits, right = told
    return CheckAdvice(
        key=check.key, title=check.title, minutes=check.minutes, how=check.how, needs=check.needs,
        cautions=check.cautions, read_as=check.read_as, information_bits=bits,
        information_bits_per_minute=bits / check.minutes, minutes_saved=saves,
        worth=(bits >= LEAST_BITS or check.clears) and saves > check.minutes, right_now=now,
        right_after=max(right, now) if bits >= LEAST_BITS else now, clears=check.clears,
    )  # fmt: skip


def rank_checks(
    cloud: WeightedSample, pump: Pump, around: Around, known: Collection[Key]
) -> tuple[CheckAdvice, ...]:
    """Every check not yet done: those worth their minutes first, most told a minute first.

    A check is worth it when it shortens the way to fixed by more minutes than it takes; when none
    is, opening is worth more than asking. One that may put the fault right by itself comes before
    all that only tell where it saves more minutes for each of its own than the best of them does.

    Args:
        cloud: the posterior.
        pump: as described.
        around: the tools to hand.
        known: what has been read, or could not be.
    """
    worth = _Worth.of(cloud, pump, around)
    now = float(worth.ask.usual.max())
    found = []
    for check in checks_for(pump):
        lacking = [key for key in check.reads if key not in known]
        if lacking:
            found.append(
                _advice(check, worth.ask.tells(lacking), worth.minutes_saved(lacking), now=now)
            )
    settles = _Settles.of(worth.ask.sample.cloud) if any(a.worth for a in found) else None
    if settles is not None:
        reads = {str(c.key): [key for key in c.reads if key not in known] for c in CHECKS}
        found = [replace(a, settles=settles.by(reads[a.key])) if a.worth else a for a in found]
    found.sort(key=lambda a: (not a.worth, -a.information_bits_per_minute))
    best = next((_gain(a) for a in found if a.worth and not a.clears), 0.0)
    return tuple(sorted(found, key=lambda a: not (a.worth and a.clears and _gain(a) >= best)))


def _gain(advice: CheckAdvice) -> Ratio:
    """Minutes saved for each that a check takes."""
    return advice.minutes_saved / advice.minutes
