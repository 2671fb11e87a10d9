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
from wetend.advice.faults.tables import CARRIED_AWAY, FAULTS, INSIDE
from wetend.pump.description import Pump
from wetend.stats.decision import covered, least_cost_order
from wetend.stats.discrete import information as mutual
from wetend.units.message import Message
from wetend.units.quantity import Minutes, Ratio

Array = NDArray[np.float64]

LEAST_BITS = 0.02
"""Information below which a check is not worth the walk."""
_MOST_IN_LEVELS = 1
"""Readings at once that are taken in levels; of more, the answers themselves are drawn."""
STOPS_AGAIN_MINUTES: Minutes = 30.0
"""Minutes lost where something is taken for something else: the crew stops again. Common practice,
no source."""
SHUT_FROM: Ratio = 0.7
"""Chance of a sound wet end from which it is left shut."""
QUICK_MINUTES: Minutes = 6.0
"""Minutes up to which a check is done before the wet end is said to be left alone."""
_TURNS = 0.015
"""Chance from which an answer counts as one that a check may give."""
OPENS: Ratio = 0.2
"""Chance of something wrong inside, from which an answer shows that the wet end may have to be
opened: as much as is called possible."""
_JOBS_WEIGHED = 6
_SMALL = 16
"""Rows of a table up to which planning it takes less long than beginning to."""
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
        states = sample.cloud.fault_sets
        questions, answers = _merged(states, sample.cloud.weight)
        return cls(sample, min(cloud.effective, float(ENOUGH)), questions, answers)

    def after(
        self, keys: Sequence[Key], states: NDArray[np.intp], count: int
    ) -> tuple[Array, NDArray[np.intp]]:
        """Chances of the states after each of some answers, and the true states.

        Half the pumps answer, and the other half are what the answers are weighed by, so that
        chance is not taken for knowledge. States hang on which faults are there, and on nothing
        else. Sums are taken by sorting, not by a product of matrices: that is shared among all
        processors, which takes longer than the sums where others are at work.
        """
        weight = self.sample.likelihoods(keys)
        usual = np.bincount(states, self.sample.cloud.weight, minlength=count)
        kinds = states[self.sample.kinds]
        order = np.argsort(kinds, kind="stable")
        starts = np.flatnonzero(np.diff(kinds[order], prepend=-1))
        found = np.zeros((len(weight), count))
        found[:, kinds[order[starts]]] = np.add.reduceat(weight[:, order], starts, axis=1)
        found /= np.maximum(weight.sum(axis=1, keepdims=True), 1e-30)
        return (1.0 - _SHY) * found + _SHY * usual, states[self.sample.truth]

    @cached_property
    def inside(self) -> NDArray[np.intp]:
        """Whether each pump has something wrong with its wet end."""
        worn = [has_fault(self.sample.cloud, fault) for fault in INSIDE]
        return np.asarray(np.any(worn, axis=0), dtype=np.intp)

    def may_open(self, keys: Sequence[Key]) -> bool:
        """Whether an answer may show a wet end that is not to be left shut, where it is now."""
        cloud = self.sample.cloud
        if float(cloud.weight @ self.inside) > 1.0 - SHUT_FROM or CARRIED_AWAY.keys() & set(keys):
            return False
        if len(keys) <= _MOST_IN_LEVELS:
            table = _joint(self.sample, self.inside, 2, keys)
            mass = table.sum(axis=1)
            turned = table[:, 1] > OPENS * mass
            return float(mass[turned].sum()) >= _TURNS
        after, _ = self.after(keys, self.inside, 2)
        return float(np.mean(after[:, 1] > OPENS)) >= _TURNS

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
            states, count = _merged(left.fault_sets, left.weight)
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
class _Trial:
    """Orders planned on one table, to be tried on the chances of another."""

    needed: Array
    """By answer and set of jobs: the chance that this set is needed. One row plans for all."""
    left: Array
    """By answer and set of jobs done: the chance that more is needed, where it is tried."""


@dataclass(frozen=True, eq=False)
class _Asked:
    """The trials of a check: without what it reads, where that is tried at all, and with it."""

    without: tuple[_Trial, ...]
    with_it: tuple[_Trial, ...]


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

    def asks(self, keys: Sequence[Key]) -> _Asked:
        """What reading these is worth, to be planned. Half the pumps plan, the other half are what
        the plans are tried on, so that chance is not taken for knowledge. What the check carries
        away by itself is not needed any more, whatever is read.
        """
        count = len(self.minutes)
        if len(keys) > _MOST_IN_LEVELS:
            after, _ = self.ask.after(keys, self.job_states, count)
            left = self._true_left
            return _Asked(
                (_Trial(after.mean(axis=0, keepdims=True), left),), (_Trial(after, left),)
            )
        sample = self.ask.sample
        code, codes = sample.levels(keys)
        states = self.job_states
        if CARRIED_AWAY.keys() & set(keys):
            states = needed_sets(sample.cloud.after(keys), self.jobs)
        place, weight = code * count + states, sample.cloud.weight
        side = np.arange(len(weight)) % 2 == 0
        half, other = (_table(place, weight * those, codes, count) for those in (side, ~side))
        return _Asked((), (_Trial(half, _left(other)), _Trial(other, _left(half))))

    def minutes_saved(self, asked: Sequence[_Asked]) -> list[Minutes]:
        """Minutes by which each of some checks shortens the way to fixed."""
        trials = [trial for each in asked for trial in (*each.without, *each.with_it)]
        cost = iter(_costs(trials, self.minutes))
        found = []
        for each in asked:
            without = sum(next(cost) for _ in each.without) if each.without else self.minutes_now
            found.append(max(without - sum(next(cost) for _ in each.with_it), 0.0))
        return found

    @cached_property
    def _true_left(self) -> Array:
        """By answer and set of jobs done: whether what is truly needed is not among them, over the
        number of answers."""
        true = self.job_states[self.ask.sample.truth]
        return _left(np.eye(len(self.minutes))[true] / len(true))


def _left(needed: Array) -> Array:
    """By belief and set of jobs done: the chance that more is needed."""
    held = covered(needed)
    return np.asarray(held[:, -1:] - held)


def _table(place: NDArray[np.intp], weight: Array, rows: int, columns: int) -> Array:
    table = np.bincount(place, weight, minlength=rows * columns)
    return np.asarray(table, dtype=float).reshape(rows, columns)


def _costs(trials: Sequence[_Trial], minutes: Array) -> list[Minutes]:
    """Expected minutes of each trial; small tables are planned together."""
    small = [trial.needed for trial in trials if len(trial.needed) <= _SMALL]
    together = least_cost_order(np.concatenate(small) + 1e-9, minutes).first if small else None
    found, at = [], 0
    for trial in trials:
        rows = len(trial.needed)
        if together is not None and rows <= _SMALL:
            first, at = together[at : at + rows], at + rows
        else:
            first = least_cost_order(trial.needed + 1e-9, minutes).first
        found.append(_cost(first, trial.left, minutes))
    return found


def _cost(first: NDArray[np.intp], left: Array, minutes: Array) -> Minutes:
    """Expected minutes of orders, where so much is left; of one order, it is for all."""
    first = np.broadcast_to(first, (len(left), first.shape[1]))
    rows, done, total = np.arange(len(left)), np.zeros(len(left), dtype=np.intp), 0.0
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
            return Message("{fault} or not", fault=first.short)
        return Message("{fault} against {other}", fault=first.short, other=rival.short)

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


def _advice(
    check: Check, told: tuple[float, Ratio], saves: Minutes, *, now: Ratio, may_open: bool
) -> CheckAdvice:
    bits, right = told
    telling = bits >= LEAST_BITS
    saves += STOPS_AGAIN_MINUTES * max(right - now, 0.0) if telling else 0.0
    return CheckAdvice(
        key=check.key, title=check.title, minutes=check.minutes, how=check.how, needs=check.needs,
        cautions=check.cautions, read_as=check.read_as, information_bits=bits,
        information_bits_per_minute=bits / check.minutes, minutes_saved=saves,
        worth=((telling or check.clears) and saves > check.minutes) or may_open, right_now=now,
        right_after=max(right, now) if telling else now, clears=check.clears, may_open=may_open,
    )  # fmt: skip


def rank_checks(
    cloud: WeightedSample, pump: Pump, around: Around, known: Collection[Key]
) -> tuple[CheckAdvice, ...]:
    """Every check not yet done: those worth their minutes first, most told a minute first.

    A check is worth it when it shortens the way to fixed by more minutes than it takes, with what
    a crew loses that stops again (:data:`STOPS_AGAIN_MINUTES`); or when it is quick and may show
    that a wet end which would be left shut has to be opened. When none is, opening is worth more
    than asking. One that may put the fault right by itself comes before all that only tell where it
    saves more minutes for each of its own than the best of them does.

    Args:
        cloud: the posterior.
        pump: as described.
        around: the tools to hand.
        known: what has been read, or could not be.
    """
    worth = _Worth.of(cloud, pump, around)
    now = float(worth.ask.usual.max())
    lacking = {c: [k for k in c.reads if k not in known] for c in checks_for(pump)}
    asked = [
        (c, worth.ask.tells(k), c.minutes <= QUICK_MINUTES and worth.ask.may_open(k), worth.asks(k))
        for c, k in lacking.items()
        if k
    ]
    saved = worth.minutes_saved([trials for *_, trials in asked])
    found = [
        _advice(c, told, s, now=now, may_open=opens)
        for (c, told, opens, _), s in zip(asked, saved, strict=True)
    ]
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
