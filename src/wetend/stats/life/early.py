r"""Lives of which some end early, badly fitted: a mixture with the law of wear.

.. math:: S(t) = (1 - q)\,S_w\!\left(\frac{\ln t - \mu}{\sigma}\right)
          + q \exp\!\left(-\ln 2\; \frac{t}{0.04\,e^\mu}\right)

q, the share badly fitted, is learned; they fail at a constant rate, half of them within a
twenty-fifth of the part's own median life, 90 % between a three-hundredth and a sixth of it: early,
whatever the part, and wide enough for days or weeks. A part that outlives that is ever less likely
to be one. Source: W. Nelson, Applied Life Data Analysis (1982), section 1.5 (mixtures of a weak and
a sound population), from memory; the law of the early ones is ours, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from wetend.lazy_import import special
from wetend.stats.life.fit import NEVER
from wetend.stats.life.shapes import WEIBULL, LifeShape, log_between
from wetend.stats.lifetimes import Lifetimes

Floats = NDArray[np.float64]
EARLY_MEDIAN = math.log(0.04)
"""Log of the median of early lives over that of the others."""
_EARLY = EARLY_MEDIAN - math.log(math.log(2.0))
"""Log of the mean of early lives over the median of the others."""
MOST = 0.35
"""Share badly fitted at most: else a law of wear far off and all lives early fit as well."""
_LEAST = 600.0
"""Logs beyond this are of nothing at all; keeps products inside the numbers."""
_Slopes = tuple[Floats, Floats]
_Part = tuple[Floats, Callable[[], _Slopes]]
"""Log likelihood of each life; on demand its slopes by location and by the log of the scale."""


def share_of(score: Floats) -> Floats:
    """Share badly fitted of its unbounded score; 35 % at most, or it would be the common way."""
    return np.asarray(MOST * special.expit(score), dtype=float)


def log_early(log_life: Floats, location: Floats) -> Floats:
    """Log survival of parts badly fitted."""
    return WEIBULL.log_survival(log_life - location - _EARLY)


def early_at(log_survival: Floats, location: Floats) -> Floats:
    """Log life at which the survival of parts badly fitted has fallen to this: the inverse."""
    return np.asarray(location + _EARLY + np.log(np.maximum(-log_survival, 1e-300)), dtype=float)


def log_mixed(wear: Floats, early: Floats, share: Floats) -> Floats:
    """Log of a mixture of two survivals given by their logs."""
    with np.errstate(divide="ignore"):
        return np.asarray(
            np.logaddexp(np.log1p(-share) + wear, np.log(share) + early), dtype=float
        )  # fmt: skip


def _failed(shape: LifeShape, log_life: Floats, at: Floats, scale: Floats) -> _Part:
    z = (log_life - at) / scale

    def slopes() -> _Slopes:
        slope = shape.log_density_slope(z)
        return -slope / scale, -slope * z - 1.0

    return shape.log_density(z) - np.log(scale) - log_life, slopes


def _ratio(density: Floats, value: Floats) -> Floats:
    """A density over a share given by its log; zero where there is next to none of it."""
    some = value > -_LEAST
    return np.where(some, np.exp(np.minimum(density - np.where(some, value, 0.0), _LEAST)), 0.0)


def _going(shape: LifeShape, log_life: Floats, at: Floats, scale: Floats) -> _Part:
    z = (log_life - at) / scale
    value = shape.log_survival(z)

    def slopes() -> _Slopes:
        hazard = np.exp(np.clip(shape.log_density(z) - value, -_LEAST, _LEAST))
        return hazard / scale, hazard * z

    return value, slopes


def _between(shape: LifeShape, spans: Floats, at: Floats, scale: Floats) -> _Part:
    with np.errstate(divide="ignore"):
        low, high = ((np.log(spans[:, side]) - at) / scale for side in (0, 1))
    value = np.maximum(log_between(shape, low, high), NEVER)

    def slopes() -> _Slopes:
        seen = np.isfinite(low)
        safe = np.where(seen, low, 0.0)
        at_low = np.where(seen, _ratio(shape.log_density(safe), value), 0.0)
        at_high = _ratio(shape.log_density(high), value)
        return -(at_high - at_low) / scale, -(at_high * high - at_low * safe)

    return value, slopes


def _parts(
    beta: Floats, scale: Floats, lives: Lifetimes, shape: LifeShape
) -> Iterator[tuple[Floats, _Part, _Part]]:
    """Of each kind of ending: covariates, and both laws of every life."""
    one = np.ones_like(scale)
    for ages, x, law in (
        (lives.failed, lives.failed_x, _failed), (lives.going, lives.going_x, _going),
    ):  # fmt: skip
        if len(ages):
            at, logs = beta @ x.T, np.log(ages)
            yield x, law(shape, logs, at, scale), law(WEIBULL, logs, at + _EARLY, one)
    if len(lives.between):
        at = beta @ lives.between_x.T
        yield (
            lives.between_x, _between(shape, lives.between, at, scale),
            _between(WEIBULL, lives.between, at + _EARLY, one),
        )  # fmt: skip


def mixed_log_likelihoods(
    theta: Floats, lives: Lifetimes, shape: LifeShape, *, slopes: bool = True
) -> tuple[Floats, Floats]:
    """Log likelihood and its gradient, a row each.

    Args:
        theta: rows of the score of the share q (:func:`share_of`), the coefficients, and the log
            of the scale.
        lives: failures and ages still going.
        shape: of the lives that end by wear.
        slopes: whether the gradient is wanted; else it is zero.
    """
    share = share_of(theta[:, :1])
    beta, scale = theta[:, 1:-1], np.exp(theta[:, -1:])
    total, gradient = np.zeros(len(theta)), np.zeros_like(theta)
    for x, (wear, wear_slopes), (early, early_slopes) in _parts(beta, scale, lives, shape):
        badly = np.log(share) + early
        each = np.logaddexp(np.log1p(-share) + wear, badly)
        total += each.sum(axis=1)
        if not slopes:
            continue
        bad = np.exp(badly - each)
        by_location, by_scale = wear_slopes()
        gradient[:, 0] += ((bad - share) * (1.0 - share / MOST) / (1.0 - share)).sum(axis=1)
        gradient[:, 1:-1] += ((1.0 - bad) * by_location + bad * early_slopes()[0]) @ x
        gradient[:, -1] += ((1.0 - bad) * by_scale).sum(axis=1)
    return total, gradient
