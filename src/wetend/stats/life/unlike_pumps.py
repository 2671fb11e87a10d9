r"""Pumps unlike their depot: one whose parts all last less, one that gets worse at every repair.

The log of a life in pump i, its part fitted there for the (k+1)th time, lies off the depot's law by

.. math:: u_i + d_i \ln(1 + k), \quad u_i \sim N(0, s^2), \quad d_i = 0 \text{ with } 1 - w

all parts of the pump alike; with w the slope d is one of a few, most of them downward: a
trend-renewal process whose trend is a power of the number of renewals, unlike from pump to pump. s
and w are learned from all pumps; the scatter of lives is what the depot's law has, less what lies
between pumps, so that of a pump not known the forecast stays as it is. The depot's law is held at
its posterior mean for this (empirical Bayes).

Source: B. H. Lindqvist, G. Elvebakk, K. Heggland, The trend-renewal process for statistical
analysis of repairable systems, Technometrics 45 (2003), from memory: the heterogeneous form; the
power of the number of renewals and the weights are ours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetend.stats.life.belief import LifeBelief, log_survival_at, stratified
from wetend.stats.life.early import log_early, log_mixed

Floats = NDArray[np.float64]
SPREADS = np.array([0.0, 0.15, 0.3, 0.5])
_SPREAD_PRIOR = np.array([0.35, 0.3, 0.25, 0.1])
WORSE = np.array([0.02, 0.15, 0.4, 0.8])
_WORSE_PRIOR = np.array([0.4, 0.3, 0.2, 0.1])
SLOPES = np.array([0.0, 0.3, -0.3, -0.6, -1.0, -1.5])
_OF_WORSE = np.array([0.0, 0.08, 0.32, 0.3, 0.2, 0.1])
_NODES, _NODE_WEIGHTS = (np.asarray(each) for each in np.polynomial.hermite_e.hermegauss(7))
_LEAST_SHARE = 0.36
"""Share of the scatter's variance that stays within a pump at least."""
_STEP = 1e-3
"""Step of the log of a life over which its density is taken."""


@dataclass(frozen=True)
class Lived:
    """Some lives of one part, as far as they say how their pumps differ."""

    low: Floats
    """Log of the wear at which each had not failed, less the depot's location for it; minus
    infinity: never looked at."""
    high: Floats
    """The same of the wear by which it had; infinity: it goes on."""
    before: Floats
    """Logarithm of the number of lives, its own counted."""
    pump: NDArray[np.intp]
    scale: float
    weibull: bool
    early: float


@dataclass(frozen=True)
class Unlike:
    """How pumps of a depot differ: chances of each spread and share that gets worse."""

    chance: Floats
    """Spreads by shares."""


ALIKE = Unlike(_SPREAD_PRIOR[:, None] * _WORSE_PRIOR)
"""Before any pump is seen."""


def _within(scale: Floats | float, weibull: NDArray[np.bool_] | bool, spread: Floats) -> Floats:
    """Scale of lives within a pump, of the whole scale and what lies between pumps."""
    unit = np.where(weibull, math.pi**2 / 6.0, 1.0)
    kept = 1.0 - spread**2 / (unit * np.asarray(scale) ** 2)
    return np.asarray(scale * np.sqrt(np.maximum(kept, _LEAST_SHARE)), dtype=float)


def _log_chances(lived: Lived) -> Floats:
    """Log likelihood of each life at spreads, nodes and slopes."""
    shift = (
        SPREADS[:, None, None] * _NODES[:, None]
        + SLOPES * lived.before[:, None, None, None]
    )  # fmt: skip
    scale = _within(lived.scale, lived.weibull, SPREADS)[:, None, None]

    def alive(at: Floats) -> Floats:
        z = (at[:, None, None, None] - shift) / scale
        worn = log_survival_at(z, np.full(z.shape, lived.weibull))
        early = log_early(at[:, None, None, None], shift)
        return np.exp(log_mixed(worn, early, np.array(lived.early)))

    exact = lived.low == lived.high
    low = np.where(exact, lived.low - _STEP / 2.0, lived.low)
    high = np.where(exact, lived.high + _STEP / 2.0, lived.high)
    gone = np.where(np.isinf(high)[:, None, None, None], 0.0,
                    alive(np.where(np.isinf(high), 0.0, high)))  # fmt: skip
    came = np.where(np.isinf(low)[:, None, None, None], 1.0,
                    alive(np.where(np.isinf(low), 0.0, low)))  # fmt: skip
    return np.asarray(np.log(np.maximum(came - gone, 1e-12)), dtype=float)


def _by_pump(parts: Sequence[Lived], pumps: int) -> Floats:
    total = np.zeros((pumps, len(SPREADS), len(_NODES), len(SLOPES)))
    for lived in parts:
        np.add.at(total, lived.pump, _log_chances(lived))
    return total


def _weights() -> Floats:
    """Shares by nodes by slopes: chances of a pump's own."""
    slopes = WORSE[:, None] * _OF_WORSE + (1.0 - WORSE)[:, None] * (SLOPES == 0)
    nodes = _NODE_WEIGHTS / _NODE_WEIGHTS.sum()
    return np.asarray(nodes[None, :, None] * slopes[:, None, :], dtype=float)


def _evidence(total: Floats) -> tuple[Floats, Floats]:
    """Pumps by spreads by shares: log evidence; and the same with every node told apart."""
    top = total.max(axis=(1, 2, 3), keepdims=True)
    each = np.exp(total - top)[:, :, None, :, :] * _weights()
    whole = each.sum(axis=(3, 4))
    return np.log(np.maximum(whole, 1e-300)), each / np.maximum(whole, 1e-300)[..., None, None]


def unlike(parts: Sequence[Lived], pumps: int) -> Unlike:
    """How the pumps of a depot differ.

    Args:
        parts: lives of each part, their pumps numbered from 0.
        pumps: how many there are.
    """
    if not pumps or not parts:
        return ALIKE
    log = _evidence(_by_pump(parts, pumps))[0].sum(axis=0) + np.log(ALIKE.chance)
    chance = np.exp(log - log.max())
    return Unlike(chance / chance.sum())


@dataclass(frozen=True)
class OwnWay:
    """How one pump differs, one draw each."""

    shift: Floats
    slope: Floats
    spread: Floats

    def of(self, belief: LifeBelief, before: float) -> LifeBelief:
        """A belief as it holds for a part fitted in this pump after so many others.

        Args:
            belief: as many draws, of the depot.
            before: logarithm of the number of lives, its own counted.
        """
        coefficients = belief.coefficients.copy()
        coefficients[:, 0] += self.shift + self.slope * before
        scales = _within(belief.scales, belief.weibull, self.spread)
        return replace(belief, coefficients=coefficients, scales=scales)


def own_way(known: Unlike, parts: Sequence[Lived], count: int, *, seed: int = 1) -> OwnWay:
    """Draws of how a pump differs, by its own lives of every part.

    Args:
        known: of its depot.
        parts: its lives, all of pump number 0; none: as any pump.
        count: of draws.
        seed: of the random draws.
    """
    within = _evidence(_by_pump(parts, 1))[1][0]
    chance = (known.chance[:, :, None, None] * within).sum(axis=1)
    marks = np.cumsum(chance.ravel())
    uniform = stratified(np.random.default_rng((seed, 31)), count) * marks[-1]
    spread, node, slope = np.unravel_index(
        np.minimum(np.searchsorted(marks, uniform), len(marks) - 1), chance.shape
    )
    return OwnWay(SPREADS[spread] * _NODES[node], SLOPES[slope], SPREADS[spread])
