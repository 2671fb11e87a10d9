r"""The level that a depot's parts have in common, learned across parts.

Where packings wear out in a third of the time assumed, nozzles, filters and seats do nearly so. The
log of each part's median life is a mean of its own, plus the depot's level, plus its own departure:

.. math:: \beta_{0p} = m_p + L + \delta_p, \quad L \sim N(0, \sigma_L^2), \;
          \delta_p \sim N(0, \tau^2)

What a part's lives say of the level follows from draws of its own posterior, which was made with
both spreads together:

.. math:: m_p(L) \propto \frac1n \sum_i
          \frac{N(\beta_{0pi};\, m_p + L,\, \tau^2)}{N(\beta_{0pi};\, m_p,\, \sigma_L^2 + \tau^2)}

on a grid of L. A part's prior is then what all the others say, to mean and variance. Source: A.
Gelman and others, Bayesian Data Analysis, 3rd ed. (2013), section 5.4 (the hierarchical normal
model) and 13.8 (expectation propagation: the cavity), from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wetend.stats.life.belief import LifePrior

Floats = NDArray[np.float64]
_REACH, _STEPS = 4.0, 161
_ROUND = 0.01
"""Steps to which a prior is rounded, so that a day's more use elsewhere changes no belief."""


@dataclass(frozen=True)
class Common:
    """How a part's prior spread is shared: the depot's level, and the part's own departure."""

    level: float
    """Standard deviation of the depot's level."""
    own: float

    @property
    def whole(self) -> float:
        """Standard deviation of a part's log median where nothing is seen of any."""
        return math.hypot(self.level, self.own)

    @property
    def grid(self) -> Floats:
        """Levels at which messages are computed."""
        return np.linspace(-_REACH * self.level, _REACH * self.level, _STEPS)


def message(constants: Floats, mean: float, common: Common) -> Floats:
    """Log of what a part's lives say of the depot's level, on the grid, up to a constant.

    Args:
        constants: draws of the log median, made with the whole spread as prior.
        mean: of that prior.
        common: how the spread is shared.
    """
    off = constants - mean
    before = -0.5 * (off / common.whole) ** 2
    given = -0.5 * ((off[None, :] - common.grid[:, None]) / common.own) ** 2
    ratio = given - before
    top = ratio.max(axis=1)
    found = top + np.log(np.exp(ratio - top[:, None]).mean(axis=1))
    return np.asarray(found - found.max(), dtype=float)


def level_from(messages: Sequence[Floats], common: Common) -> tuple[float, float]:
    """Mean and standard deviation of the depot's level by these messages; none: the prior's."""
    log = -0.5 * (common.grid / common.level) ** 2 + sum(messages, np.zeros(_STEPS))
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    mean = float(weight @ common.grid)
    return mean, math.sqrt(max(float(weight @ (common.grid - mean) ** 2), 1e-6))


def shifted(prior: LifePrior, level: tuple[float, float], common: Common) -> LifePrior:
    """A part's prior where others say so much of the level, rounded to a hundredth."""
    means, deviations = prior.means.copy(), prior.deviations.copy()
    means[0] += round(level[0] / _ROUND) * _ROUND
    deviations[0] = round(math.hypot(level[1], common.own) / _ROUND) * _ROUND
    return replace(prior, means=means, deviations=deviations)
