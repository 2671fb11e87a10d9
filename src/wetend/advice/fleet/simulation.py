"""Event simulation of pumps over coming months: failures, visits, costs.

Everything a chunk of pumps needs is in arrays, so it can be handed to another thread, process or
machine; every pump has random numbers of its own, so the answer does not depend on how the fleet is
cut up. All policies meet the same lives, part for part, so their difference is seen through less
noise (common random numbers). A part that neither waits for a visit nor brings one is simulated by
itself, all its lives at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.fleet.arrays import Bools, Chunk, Floats, Policy
from wetend.advice.fleet.lives import Lives

Whole = NDArray[np.int64]
_NEAR = 1e-9


@dataclass(frozen=True)
class SimulatedMonths:
    """Results: policies by pumps by replicas, parts last where counted by part."""

    cost: Floats
    crew_time: Floats
    """Crew hours lost, s."""
    failures: Floats
    visits: Floats
    parts: Floats


def play(chunk: Chunk) -> SimulatedMonths:
    """Play a chunk under every policy."""
    lives = Lives(chunk)
    return joined([_Play(chunk, policy, lives).run() for policy in chunk.policies], along=None)


def joined(parts: list[SimulatedMonths], *, along: int | None = 1) -> SimulatedMonths:
    """Chunks side by side by pumps, or policies stacked (``None``)."""

    def put(name: str) -> Floats:
        arrays = [getattr(p, name) for p in parts]
        return np.stack(arrays) if along is None else np.concatenate(arrays, axis=along)

    return SimulatedMonths(*(put(n) for n in ("cost", "crew_time", "failures", "visits", "parts")))


class _Play:
    """One policy simulated on all states of a chunk."""

    def __init__(self, chunk: Chunk, policy: Policy, lives: Lives) -> None:
        self.chunk, self.policy, self.lives = chunk, policy, lives
        count, parts = lives.age.shape
        self.cost, self.crew_time = np.zeros(count), np.zeros(count)
        self.failures, self.visits = np.zeros(count), np.zeros(count)
        self.used = np.zeros((count, parts))

    def run(self) -> SimulatedMonths:
        """Until the last day."""
        alone = self.policy.alone
        by_itself = np.zeros(self.used.shape[1], dtype=bool) if alone is None else alone
        for part in np.flatnonzero(by_itself):
            self._by_itself(int(part))
        together = np.flatnonzero(~by_itself)
        if len(together):
            _Together(self, together).run()
        pumps, _, replicas = self.chunk.location.shape

        def shaped(flat: Floats) -> Floats:
            return flat.reshape(pumps, replicas, *flat.shape[1:])

        kept = (self.cost, self.crew_time, self.failures, self.visits, self.used)
        return SimulatedMonths(*map(shaped, kept))

    def _by_itself(self, part: int) -> None:
        """All lives of one part at once: each ends by failing or by plan, whichever is first."""
        went, failed = self._ended(part)
        prices = self.chunk.prices
        opened = float(prices.opens[part])
        self.failures += failed
        self.crew_time += failed * prices.standing[part]
        self.visits += (went - failed) * opened
        self.used[:, part] += went
        self.cost += failed * prices.failure[part] + (went - failed) * prices.visit * opened
        self.cost += went * (prices.labour[part] + prices.part[part])

    def _ended(self, part: int) -> tuple[Floats, Floats]:
        """How many lives of one part end by the last day, and how many of them by failing."""
        lives, plan = self.lives, self.policy.plan[self.lives.pump, part]
        went, failed = np.zeros(len(plan)), np.zeros(len(plan))
        at, before, number = np.arange(len(plan)), np.zeros(len(plan)), 0
        while len(at):
            block = lives.block(part, number, at)
            ends = block.lives[block.row[lives.pump[at]], lives.replica[at]]
            planned = np.repeat(plan[at][:, None], ends.shape[1], axis=1)
            if number == 0:
                ends[:, 0] = lives.first[:, part]
                planned[:, 0] = np.maximum(plan - lives.age[:, part], 0.0)
            sums = before[:, None] + np.cumsum(np.minimum(ends, planned), axis=1)
            over = sums < lives.until[at][:, None]
            went[at] += over.sum(axis=1)
            failed[at] += (over & (ends <= planned)).sum(axis=1)
            left, number = over[:, -1], number + 1
            at, before = at[left], sums[left, -1]
        return went, failed


class _Together:
    """Parts that share visits, event by event; a column each, and one for the service.

    Times are wear since today.
    """

    def __init__(self, play: _Play, parts: Whole) -> None:
        self.play, self.parts, self.lives = play, parts, play.lives
        policy, pump = play.policy, play.lives.pump
        own = np.ix_(pump, parts)
        self.plan, self.along = policy.plan[own], policy.along[own]
        self.service, self.kit = policy.service[pump], policy.kit[parts]
        self.opens, self.labour = play.chunk.prices.opens[parts], play.chunk.prices.labour[parts]
        age = self.lives.age[:, parts]
        self.born = -age
        self.fails = self.lives.first[:, parts]
        self.turn = np.zeros(age.shape, dtype=np.int64)
        eldest = age[:, self.kit].max(axis=1, initial=0.0)
        planned = np.maximum(np.column_stack([self.plan - age, self.service - eldest]), 0.0)
        self.next = np.minimum(planned, np.column_stack([self.fails, np.full(len(age), np.inf)]))

    def run(self) -> None:
        """Go on to the next event of every state until none is before the last day."""
        at = np.arange(len(self.next))
        while len(at):
            events = self.next[at]
            which = events.argmin(axis=1)
            now = events[np.arange(len(at)), which]
            going = now < self.lives.until[at]
            at, which, now = at[going], which[going], now[going]
            part = np.minimum(which, len(self.parts) - 1)
            failed = (which == part) & (self.fails[at, part] <= now)
            self._fail(at[failed], part[failed], now[failed])
            self._visit(at[~failed], now[~failed])

    def _fail(self, at: Whole, part: Whole, now: Floats) -> None:
        if not len(at):
            return
        play, prices, whole = self.play, self.play.chunk.prices, self.parts[part]
        play.failures[at] += 1.0
        play.crew_time[at] += prices.standing[whole]
        play.cost[at] += prices.failure[whole] + prices.labour[whole]
        opened = prices.opens[whole]
        out = (now[:, None] - self.born[at] >= self.along[at]) & opened[:, None] & self.opens
        row = np.arange(len(at))
        out[row, part] = False
        play.cost[at] += (out * self.labour).sum(axis=1) / 3.0
        out[row, part] = True
        self._replace(at, out, now)

    def _visit(self, at: Whole, now: Floats) -> None:
        if not len(at):
            return
        play, near = self.play, 1.0 - _NEAR
        served = self.next[at, -1] <= now * (1.0 + _NEAR)
        age = now[:, None] - self.born[at]
        out = (age >= self.plan[at] * near) | np.logical_and.outer(served, self.kit)
        opens: Bools = np.any(out & self.opens, axis=1)
        out |= (age >= self.along[at]) & opens[:, None] & self.opens
        work = out * self.labour
        most = work.max(axis=1)
        play.visits[at] += opens
        play.cost[at] += play.chunk.prices.visit * opens + most + (work.sum(axis=1) - most) / 3.0
        self.next[at[served], -1] = now[served] + self.service[at[served]]
        self._replace(at, out, now)

    def _replace(self, at: Whole, out: Bools, now: Floats) -> None:
        play = self.play
        play.cost[at] += (out * play.chunk.prices.part[self.parts]).sum(axis=1)
        for part, whole in enumerate(self.parts):
            row = np.flatnonzero(out[:, part])
            if not len(row):
                continue
            state, start = at[row], now[row]
            play.used[state, whole] += 1.0
            turn = self.turn[state, part] + 1
            self.turn[state, part] = turn
            ends = start + self.lives.at(int(whole), state, turn)
            self.born[state, part], self.fails[state, part] = start, ends
            self.next[state, part] = np.minimum(ends, start + self.plan[state, part])
