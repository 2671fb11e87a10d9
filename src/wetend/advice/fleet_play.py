"""Plays pumps through months to come: parts fail, visits are paid, counted event by event.

Everything a chunk of pumps needs is in arrays, so it can be handed to another thread, process or
machine; every pump has random numbers of its own, so the answer does not depend on how the fleet is
cut up. All policies meet the same lives, part for part, so their difference is seen through less
noise (common random numbers).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import SeedSequence, default_rng
from numpy.typing import NDArray

from wetend.stats.life_bayes import log_survival_at, score_of

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Whole = NDArray[np.int64]
_BANK = 24
"""Lives of one part kept ready; more are drawn when they run out."""
_NEAR = 1e-9


@dataclass(frozen=True)
class Policy:
    """When parts are replaced, for pumps by parts, in wear of each part's own age.

    ``plan`` brings a visit; ``along`` lets a part be replaced when the pump is open anyway. With
    ``service`` a visit comes after so much wear since the last, and replaces ``kit``.
    """

    name: str
    plan: Floats
    along: Floats
    service: Floats
    """Of each pump; infinite for none."""
    kit: Bools


@dataclass(frozen=True)
class Prices:
    """What parts and visits cost, by part."""

    part: Floats
    labour: Floats
    """Cost of the work, the pump shut down for it."""
    failure: Floats
    """Cost of the crew standing and of the way, when it fails at work."""
    hours: Floats
    """Hours the crew stands when it fails, s."""
    visit: float
    """Way of a planned visit."""
    opens: Bools
    """Whether replacing it opens the pump (the crew changes the others itself)."""


@dataclass(frozen=True)
class Chunk:
    """Some pumps, ready to be played."""

    seeds: tuple[SeedSequence, ...]
    pace: Floats
    """Wear a day of each pump."""
    pace_spread: Floats
    ages: Floats
    """Pumps by parts: wear so far."""
    age_spread: Floats
    location: Floats
    """Pumps by parts by replicas: log of the median life."""
    scale: Floats
    """Parts by replicas."""
    weibull: Bools
    policies: tuple[Policy, ...]
    prices: Prices
    days: float


@dataclass(frozen=True)
class Played:
    """What came of it: policies by pumps by replicas, parts last where counted by part."""

    cost: Floats
    hours: Floats
    """Crew hours lost, s."""
    failures: Floats
    visits: Floats
    parts: Floats


def play(chunk: Chunk) -> Played:
    """Play a chunk under every policy."""
    rngs = [default_rng(seed) for seed in chunk.seeds]
    replicas = chunk.location.shape[2]
    normal = np.stack([r.standard_normal((replicas, 1 + chunk.ages.shape[1])) for r in rngs])
    bank = _Bank(chunk, rngs)
    played = [_Play(chunk, policy, bank, normal).run() for policy in chunk.policies]
    return joined(played, along=None)


def joined(parts: list[Played], *, along: int | None = 1) -> Played:
    """Chunks side by side by pumps, or policies stacked (``None``)."""

    def put(name: str) -> Floats:
        arrays = [getattr(p, name) for p in parts]
        return np.stack(arrays) if along is None else np.concatenate(arrays, axis=along)

    return Played(*(put(n) for n in ("cost", "hours", "failures", "visits", "parts")))


class _Bank:
    """Uniform numbers for every pump's lives, in the order they will be lived."""

    def __init__(self, chunk: Chunk, rngs: list[np.random.Generator]) -> None:
        self._rngs = rngs
        self._shape = (chunk.location.shape[2], chunk.location.shape[1], _BANK)
        self.held = np.stack([r.random(self._shape) for r in rngs])

    def at(self, pump: Whole, replica: Whole, part: Whole, turn: Whole) -> Floats:
        """The number for each part's so-manieth life."""
        while len(turn) and int(turn.max()) >= self.held.shape[3]:
            more = np.stack([r.random(self._shape) for r in self._rngs])
            self.held = np.concatenate([self.held, more], axis=3)
        got = self.held[pump, replica, part, turn]
        return np.asarray(np.clip(got, 1e-12, 1.0 - 1e-12), dtype=float)


class _Play:
    """One policy played on all pumps and replicas of a chunk, flat: a state each."""

    def __init__(self, chunk: Chunk, policy: Policy, bank: _Bank, normal: Floats) -> None:
        pumps, parts, replicas = chunk.location.shape
        self.chunk, self.bank = chunk, bank
        self.pump = np.repeat(np.arange(pumps), replicas)
        self.replica = np.tile(np.arange(replicas), pumps)
        flat = normal.reshape(pumps * replicas, -1)
        self.pace = chunk.pace[self.pump] * np.exp(chunk.pace_spread[self.pump] * flat[:, 0])
        self.age = chunk.ages[self.pump] * np.exp(chunk.age_spread[self.pump] * flat[:, 1:])
        self.turn = np.zeros((len(self.pump), parts), dtype=np.int64)
        self.left = self._first_lives()
        self.plan, self.along = policy.plan[self.pump], policy.along[self.pump]
        self.service, self.kit = policy.service[self.pump], policy.kit
        eldest = self.age[:, policy.kit].max(axis=1, initial=0.0)
        self.clock = np.where(np.isfinite(self.service), eldest, 0.0)
        self.day = np.zeros(len(self.pump))
        count = len(self.pump)
        self.cost, self.hours = np.zeros(count), np.zeros(count)
        self.failures, self.visits = np.zeros(count), np.zeros(count)
        self.used = np.zeros((count, parts))

    def _drawn(self, state: Whole, part: Whole, start: Floats) -> Floats:
        """Ends of lives whose log survival starts at ``start``: the next number of each part."""
        pump, replica = self.pump[state], self.replica[state]
        u = self.bank.at(pump, replica, part, self.turn[state, part])
        self.turn[state, part] += 1
        weibull = self.chunk.weibull[part, replica]
        z = score_of(start + np.log(u), weibull)
        where = self.chunk.location[pump, part, replica]
        return np.exp(np.minimum(where + self.chunk.scale[part, replica] * z, 700.0))

    def _first_lives(self) -> Floats:
        states, parts = np.indices(self.age.shape)
        state, part = states.ravel(), parts.ravel()
        pump, replica = self.pump[state], self.replica[state]
        age = self.age[state, part]
        with np.errstate(divide="ignore"):
            z = np.log(age) - self.chunk.location[pump, part, replica]
        z = z / self.chunk.scale[part, replica]
        start = log_survival_at(z, self.chunk.weibull[part, replica])
        ends = self._drawn(state, part, start)
        return np.asarray(np.maximum(ends - age, 0.0).reshape(self.age.shape), dtype=float)

    def run(self) -> Played:
        """Until the last day."""
        alive = np.arange(len(self.pump))
        while len(alive):
            alive = alive[self._step(alive)]
        pumps, _, replicas = self.chunk.location.shape

        def shaped(flat: Floats) -> Floats:
            return flat.reshape(pumps, replicas, *flat.shape[1:])

        return Played(*(shaped(a) for a in (self.cost, self.hours, self.failures, self.visits,
                                            self.used)))  # fmt: skip

    def _step(self, at: Whole) -> Bools:
        """Go on to the next event of each state; which of them are not at their end."""
        left, age = self.left[at], self.age[at]
        fails = left.min(axis=1)
        planned = np.minimum(
            (self.plan[at] - age).min(axis=1), self.service[at] - self.clock[at]
        ).clip(min=0.0)
        wear = np.minimum(fails, planned)
        day = self.day[at] + wear / self.pace[at]
        going = day < self.chunk.days
        now, wear = at[going], wear[going]
        self.day[now] = day[going]
        self.age[now] += wear[:, None]
        self.left[now] -= wear[:, None]
        self.clock[now] += wear
        failed: Bools = np.asarray(fails[going] <= planned[going], dtype=bool)
        self._fail(now[failed])
        self._visit(now[~failed])
        return np.asarray(going, dtype=bool)

    def _fail(self, at: Whole) -> None:
        if not len(at):
            return
        prices = self.chunk.prices
        part = self.left[at].argmin(axis=1)
        self.failures[at] += 1.0
        self.hours[at] += prices.hours[part]
        self.cost[at] += prices.failure[part] + prices.labour[part]
        opened = prices.opens[part]
        out = (self.age[at] >= self.along[at]) & opened[:, None] & prices.opens
        out[np.arange(len(at)), part] = False
        self.cost[at] += (out * prices.labour).sum(axis=1) / 3.0
        out[np.arange(len(at)), part] = True
        self._replace(at, out)

    def _visit(self, at: Whole) -> None:
        if not len(at):
            return
        prices = self.chunk.prices
        near = 1.0 - _NEAR
        served = np.greater_equal(self.clock[at], self.service[at] * near)
        due = self.age[at] >= self.plan[at] * near
        out = due | np.logical_and.outer(served, self.kit)
        opens: Bools = np.any(out & prices.opens, axis=1)
        out |= (self.age[at] >= self.along[at]) & opens[:, None] & prices.opens
        work = out * prices.labour
        most = work.max(axis=1)
        self.visits[at] += opens
        self.cost[at] += prices.visit * opens + most + (work.sum(axis=1) - most) / 3.0
        self.clock[at[served]] = 0.0
        self._replace(at, out)

    def _replace(self, at: Whole, out: Bools) -> None:
        row, part = np.nonzero(out)
        state = at[row]
        self.cost[at] += (out * self.chunk.prices.part).sum(axis=1)
        self.used[state, part] += 1.0
        self.age[state, part] = 0.0
        self.left[state, part] = self._drawn(state, part, np.zeros(len(state)))
