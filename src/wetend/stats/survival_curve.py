r"""Survival read off the lives alone, without a law: product limit, and Turnbull's for intervals.

Product limit: :math:`S(t) = \prod_{t_i \le t}(1 - d_i/n_i)`.

Sources: E. L. Kaplan, P. Meier, Nonparametric Estimation from Incomplete Observations, JASA 53
(1958); B. W. Turnbull, The Empirical Distribution Function with Arbitrarily Grouped, Censored and
Truncated Data, JRSS B 38 (1976); both from memory, held to a reference library in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import NoAnswer
from wetend.stats.lifetimes import Lifetimes
from wetend.units.message import Message

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class SurvivalCurve:
    """A falling staircase: survival just after each life."""

    lives: Floats
    survival: Floats

    def at(self, life: float) -> float:
        """Survival at a life."""
        place = int(np.searchsorted(self.lives, life, side="right")) - 1
        return 1.0 if place < 0 else float(self.survival[place])


def turnbull(lives: Lifetimes, *, steps: int = 2000, settled: float = 1e-8) -> SurvivalCurve:
    """Turnbull's estimate, when some failures are known only to lie between two looks.

    Mass sits on the innermost intervals and is settled by expectation and maximisation. The
    staircase falls at the upper end of each. A life covers neighbouring intervals, so a step takes
    time in proportion to the lives, and no table of lives by intervals is held.

    Raises:
        NoAnswer: nothing has failed.
    """
    if not lives.failures:
        raise NoAnswer(Message("Nothing has failed yet, so there is no curve to draw."))
    low, high = _bounds(lives)
    left, right = _innermost(low, high)
    first = np.searchsorted(left, low, side="left")
    last = np.searchsorted(right, high, side="right")  # each life covers first up to last
    mass = np.full(len(left), 1.0 / len(left))
    for _ in range(steps):
        below = np.concatenate([[0.0], np.cumsum(mass)])
        share = 1.0 / np.maximum(below[last] - below[first], 1e-300)
        begun = np.bincount(first, share, len(left) + 1) - np.bincount(last, share, len(left) + 1)
        fresh = mass * np.maximum(np.cumsum(begun)[:-1], 0.0)
        fresh /= fresh.sum()
        moved = float(np.abs(fresh - mass).max())
        mass = fresh
        if moved < settled:
            break
    finite = np.isfinite(right)
    return SurvivalCurve(right[finite], np.maximum(1.0 - np.cumsum(mass[finite]), 0.0))


def _bounds(lives: Lifetimes) -> tuple[Floats, Floats]:
    """Each life as (low, high]; an exact one is a sliver just below its value."""
    sliver = np.nextafter(lives.failed, 0.0)
    low = np.concatenate([sliver, lives.going, lives.between[:, 0]])
    high = np.concatenate([
        lives.failed, np.full(len(lives.going), np.inf), lives.between[:, 1]
    ])  # fmt: skip
    return low, high


def _innermost(low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """Intervals that begin with a left end and end with the next right end."""
    lefts, rights = np.unique(low), np.unique(high)
    after = np.searchsorted(rights, lefts, side="right")
    upper = rights[np.minimum(after, len(rights) - 1)]
    following = np.append(lefts[1:], np.inf)
    keep = (upper <= following) & (upper > lefts)
    return lefts[keep], upper[keep]
