"""Weibull probability plot of the depot's lives beside the fitted distribution.

Every life is first brought to one pump's use by the learned effects, so that lives under different
coatings can lie on one line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.life.learned import FleetLives
from wetend.advice.life.records import gathered
from wetend.errors import NoAnswer
from wetend.pump.usage import LifePart
from wetend.stats.lifetimes import Lifetimes
from wetend.stats.survival_curve import turnbull
from wetend.units.quantity import M3, Ratio

Floats = NDArray[np.float64]
_SETTLED = 1e-6
"""Change of a share under which the points of a plot count as settled."""
_MOST_POINTS = 150
"""Points of a plot."""
_PLACES = 41


@dataclass(frozen=True)
class PlotPoint:
    """One point of the plot: share failed, at Hazen's plotting position."""

    life: M3
    failed: Ratio


@dataclass(frozen=True)
class ProbabilityPlot:
    """Points seen, and the line believed with its band: 90 % of the sampled distributions."""

    part: LifePart
    points: tuple[PlotPoint, ...]
    lives: tuple[M3, ...]
    low: tuple[Ratio, ...]
    middle: tuple[Ratio, ...]
    high: tuple[Ratio, ...]
    weibull: Ratio
    """Chance of the Weibull law against the lognormal."""
    failures: int
    going: int


def _brought(lives: Lifetimes, x: Floats, effects: Floats) -> Lifetimes:
    """Lives as they would have been at covariates x."""

    def factor(rows: Floats) -> Floats:
        return np.exp((x - rows) @ effects)

    return Lifetimes(
        lives.failed * factor(lives.failed_x), lives.going * factor(lives.going_x),
        lives.between * factor(lives.between_x)[:, None],
        lives.failed_x, lives.going_x, lives.between_x,
    )  # fmt: skip


def _points(lives: Lifetimes, per_wear: float) -> tuple[PlotPoint, ...]:
    try:
        curve = turnbull(lives, settled=_SETTLED)
    except NoAnswer:
        return ()
    before = np.concatenate([[1.0], curve.survival[:-1]])
    fell = before - curve.survival > 1e-6
    shares = 1.0 - (before + curve.survival) / 2.0
    lives_at, at = curve.lives[fell], shares[fell]
    if len(at) > _MOST_POINTS:  # more would lie on one another
        kept = np.unique(np.linspace(0, len(at) - 1, _MOST_POINTS).round().astype(int))
        lives_at, at = lives_at[kept], at[kept]
    return tuple(
        PlotPoint(float(life) * per_wear, float(share))
        for life, share in zip(lives_at, at, strict=True)
    )


def probability_plot(
    fleet: FleetLives, part: LifePart, x: Floats, *, per_wear: float
) -> ProbabilityPlot:
    """The plot of one part at covariates x; ``per_wear`` turns wear into litres."""
    belief = fleet.beliefs[part]
    own = [life for life in fleet.lives if life.part == part]
    lives = gathered(own, fleet.sites)
    points = _points(_brought(lives, x, belief.coefficients.mean(axis=0)), per_wear)
    medians = belief.medians(x)
    ends = (float(np.quantile(medians, 0.05)) / 12.0, float(np.quantile(medians, 0.95)) * 4.0)
    places = np.geomspace(*ends, _PLACES)
    failed = np.array([-np.expm1(belief.log_survival(w, x)) for w in places])
    low, middle, high = np.quantile(failed, (0.05, 0.5, 0.95), axis=1)
    return ProbabilityPlot(
        part=part, points=points, lives=tuple(float(w) * per_wear for w in places),
        low=tuple(map(float, low)), middle=tuple(map(float, middle)),
        high=tuple(map(float, high)), weibull=belief.weibull_chance,
        failures=lives.failures, going=len(lives.going),
    )  # fmt: skip
