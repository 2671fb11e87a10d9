"""Two strokes in turn fitted to marks of which some are false and some are missing.

A mark is a moment at which the pump may have turned: a tap, a knock heard, a dip of pressure. Each
carries evidence for either kind of turn. The fit chooses the chain of marks, kinds alternating,
with most evidence and the least wandering of stroke times, by dynamic programming (Bellman,
*Dynamic Programming*, 1957); the stroke times are then read off the chain and it is fitted again.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.units.quantity import Ratio, S

Floats = NDArray[np.float64]

SHORTEST: S = 0.25
"""No stroke is taken to be shorter."""
LONGEST: S = 20.0
"""No stroke is taken to be longer."""
BRISK: S = 0.5
"""Strokes quicker than this, sixty cycles a minute, are seldom met."""
LIKELY: Ratio = 2.5
"""One stroke may well take so many times the other."""


@dataclass(frozen=True)
class ChainParameters:
    """How strictly a chain is held together, in units of log likelihood."""

    wander: Ratio = 0.07
    """Standard deviation of a stroke's time, as a share of it, besides ``jitter``."""
    jitter: S = 0.012
    """Standard deviation of a mark's time."""
    miss: float = 4.0
    """Cost of a turn with no mark."""
    breaking: float = 9.0
    """Cost of a pause, after which the chain starts again."""
    lopsided: float = 1.5
    """Cost a turn, for each e-fold by which one stroke is longer than :data:`LIKELY` the other."""
    hurried: float = 3.0
    """Cost a turn, for each e-fold by which strokes are quicker than :data:`BRISK`."""
    most_missed: int = 3
    """More turns than this missed in a row make a pause."""


@dataclass(frozen=True)
class Marks:
    """Moments at which the pump may have turned, in order.

    ``evidence`` has a row a mark and a column a kind of turn: how much more likely the mark is a
    turn of this kind than none at all, as a log likelihood ratio.
    """

    times: Floats
    evidence: Floats


@dataclass(frozen=True)
class Link:
    """A mark taken for a turn, and how it depends on the one before."""

    mark: int
    kind: int
    """0 if the first of the two strokes begins here, 1 if the second does."""
    strokes: int
    """Strokes since the turn before: 1, more where turns are missing, 0 after a pause."""


@dataclass(frozen=True)
class Chain:
    """Marks taken for turns, with the score of the whole."""

    links: tuple[Link, ...]
    score: float


def _routes(
    lengths: tuple[S, S], manner: ChainParameters
) -> tuple[Floats, Floats, Floats, list[int]]:
    """For every way on: kind before, kind after, expected span, strokes."""
    kinds, afters, spans, counts = [], [], [], []
    for strokes in range(1, manner.most_missed + 2):
        for kind in (0, 1):
            more = (strokes + 1) // 2
            kinds.append(kind)
            afters.append((kind + strokes) % 2)
            spans.append(more * lengths[kind] + (strokes - more) * lengths[1 - kind])
            counts.append(strokes)
    return np.array(kinds), np.array(afters), np.array(spans), counts


class _Fit:
    """One pass of dynamic programming over the marks."""

    def __init__(self, marks: Marks, lengths: tuple[S, S], manner: ChainParameters) -> None:
        self.marks, self.manner = marks, manner
        n = marks.times.size
        self.score = np.full((n, 2), -np.inf)
        self.back = np.full((n, 2), -1, dtype=int)
        self.kind = np.zeros((n, 2), dtype=int)
        self.strokes = np.zeros((n, 2), dtype=int)
        self.kinds, self.afters, self.spans, counts = _routes(lengths, manner)
        self.counts = np.array(counts)
        mean = sum(lengths) / 2
        one = manner.wander * mean
        spread = np.sqrt(self.counts * one**2 + 2 * manner.jitter**2)
        self.narrow = 0.5 / spread**2
        lean = max(abs(math.log(lengths[0] / lengths[1])) - math.log(LIKELY), 0.0)
        hurry = max(math.log(2 * BRISK / sum(lengths)), 0.0)
        self.toll = (
            self.counts * (manner.lopsided * lean + manner.hurried * hurry)
            + manner.miss * (self.counts - 1)
            + np.log(spread / spread[0])
        )
        self.least = 0.5 * min(lengths)
        self.reach = float(self.spans.max()) + 4 * float(spread.max())
        self.anew = max(2.0 * max(lengths), sum(lengths))

    def run(self) -> Chain:
        times, evidence = self.marks.times, self.marks.evidence
        starts = np.searchsorted(times, times - self.reach)
        ends = np.searchsorted(times, times - self.least, side="right")
        rests = np.searchsorted(times, times - self.anew, side="right")
        best, seat = -np.inf, (-1, 0)
        bests: list[tuple[float, tuple[int, int]]] = [(best, seat)]
        for i in range(times.size):
            for kind in (0, 1):
                self.score[i, kind] = evidence[i, kind]
            if ends[i] > starts[i]:
                self._go_on(i, int(starts[i]), int(ends[i]))
            rested, place = bests[min(int(rests[i]), i)]
            self._rest(i, rested - self.manner.breaking, place)
            for kind in (0, 1):
                if self.score[i, kind] > best:
                    best, seat = float(self.score[i, kind]), (i, kind)
            bests.append((best, seat))
        return self._chain(best, seat)

    def _go_on(self, i: int, start: int, end: int) -> None:
        span = self.marks.times[i] - self.marks.times[start:end]
        off = span[None, :] - self.spans[:, None]
        gained = (
            self.score[start:end, self.kinds].T - self.narrow[:, None] * off**2
            - self.toll[:, None]
        )  # fmt: skip
        where = np.argmax(gained, axis=1)
        for route, j in enumerate(where):
            after = int(self.afters[route])
            total = float(gained[route, j]) + float(self.marks.evidence[i, after])
            if total > self.score[i, after]:
                self.score[i, after] = total
                self.back[i, after] = start + int(j)
                self.kind[i, after] = self.kinds[route]
                self.strokes[i, after] = self.counts[route]

    def _rest(self, i: int, rested: float, place: tuple[int, int]) -> None:
        for kind in (0, 1):
            total = rested + float(self.marks.evidence[i, kind])
            if total > self.score[i, kind]:
                self.score[i, kind] = total
                self.back[i, kind], self.kind[i, kind] = place
                self.strokes[i, kind] = 0

    def _chain(self, best: float, seat: tuple[int, int]) -> Chain:
        links, (i, kind) = [], seat
        while i >= 0:
            links.append(Link(i, kind, int(self.strokes[i, kind])))
            i, kind = int(self.back[i, kind]), int(self.kind[i, kind])
        return Chain(tuple(reversed(links)), best)


def chain(marks: Marks, lengths: tuple[S, S], manner: ChainParameters) -> Chain:
    """The best chain of turns for given stroke times.

    Args:
        marks: moments in order with their evidence.
        lengths: time of the stroke that begins at a turn of kind 0, and of kind 1.
        manner: how strictly the chain is held.

    >>> even = Marks(np.arange(6.0), np.ones((6, 2)))
    >>> [link.strokes for link in chain(even, (1.0, 1.0), ChainParameters()).links]
    [0, 1, 1, 1, 1, 1]
    """
    if marks.times.size == 0:
        return Chain((), 0.0)
    return _Fit(marks, lengths, manner).run()


def single_strokes(found: Chain, times: Floats) -> tuple[list[S], list[S]]:
    """Times of the strokes with a mark at either end, by the kind of turn each begins with."""
    spans: tuple[list[S], list[S]] = ([], [])
    for before, after in itertools.pairwise(found.links):
        if after.strokes == 1:
            spans[before.kind].append(float(times[after.mark] - times[before.mark]))
    return spans


def _middle(spans: Sequence[S], guess: S) -> S:
    return float(np.median(spans)) if spans else guess


def fit(
    marks: Marks, lengths: tuple[S, S], manner: ChainParameters | None = None, *, rounds: int = 4
) -> tuple[Chain, tuple[S, S]]:
    """The best chain, the stroke times read off it and it fitted again until they stand still.

    Source: alternating the choice of the chain and the medians of its strokes is Viterbi training
    (Juang and Rabiner, "The segmental K-means algorithm for estimating parameters of hidden Markov
    models", *IEEE Transactions on Acoustics, Speech and Signal Processing* 38 (1990) 1639-1641).
    """
    held = manner or ChainParameters()
    best, kept = chain(marks, lengths, held), lengths
    for _ in range(rounds):
        spans = single_strokes(best, marks.times)
        found = (_middle(spans[0], kept[0]), _middle(spans[1], kept[1]))
        if not all(SHORTEST <= length <= LONGEST for length in found):
            break
        again = chain(marks, found, held)
        done = math.isclose(found[0], kept[0], abs_tol=1e-4) and math.isclose(
            found[1], kept[1], abs_tol=1e-4
        )
        if again.score >= best.score - 1e-9:
            best, kept = again, found
        if done or again.score < best.score - 1e-9:
            break
    return best, kept
