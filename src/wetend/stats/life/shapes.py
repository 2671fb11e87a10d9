r"""Shapes of a life's distribution on the scale of its logarithm.

A life :math:`t` with location :math:`\mu` and scale :math:`\sigma` has
:math:`z = (\ln t - \mu)/\sigma` of a standard shape: smallest extreme value for the Weibull, normal
for the lognormal. A shape states its log density, log survival and their derivatives; the rest
follows.

Source: W. Q. Meeker, L. A. Escobar, Statistical Methods for Reliability Data (1998), chapter 4
(from memory: the log-location-scale family; checked by the published fits in the tests).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from wetend.lazy_import import special

Floats = NDArray[np.float64]

_STEEPEST = 230.0
"""Beyond this z the likelihood is zero for any purpose; keeps products inside the numbers."""


class LifeShape(Protocol):
    """What a shape must tell of itself, all for arrays of z."""

    @property
    def name(self) -> str:
        """What the distribution of the life is called."""

    def log_density(self, z: Floats) -> Floats:
        """Log of the density."""

    def log_density_slope(self, z: Floats) -> Floats:
        """Its derivative."""

    def log_survival(self, z: Floats) -> Floats:
        """Log of the survival function."""

    def log_failed(self, z: Floats) -> Floats:
        """Log of the share that has failed: of one less the survival."""

    def quantile(self, p: Floats) -> Floats:
        """The z below which a share p has failed."""


@dataclass(frozen=True)
class SmallestExtreme:
    """The Weibull's shape: survival exp(-exp(z))."""

    name: str = "weibull"

    def log_density(self, z: Floats) -> Floats:
        """z - exp(z)."""
        return np.asarray(z - np.exp(np.minimum(z, _STEEPEST)), dtype=float)

    def log_density_slope(self, z: Floats) -> Floats:
        """1 - exp(z)."""
        return np.asarray(1.0 - np.exp(np.minimum(z, _STEEPEST)), dtype=float)

    def log_survival(self, z: Floats) -> Floats:
        """-exp(z)."""
        return np.asarray(-np.exp(np.minimum(z, _STEEPEST)), dtype=float)

    def log_failed(self, z: Floats) -> Floats:
        """ln(1 - exp(-exp(z))), which is z far to the left, where exp(z) is no number any more."""
        seen = np.exp(np.clip(z, -_STEEPEST, _STEEPEST))
        with np.errstate(divide="ignore"):
            return np.where(z < -30.0, z, np.log(-np.expm1(-seen)))

    def quantile(self, p: Floats) -> Floats:
        """ln(-ln(1 - p))."""
        return np.asarray(np.log(-np.log1p(-np.asarray(p, dtype=float))), dtype=float)


@dataclass(frozen=True)
class Normal:
    """The lognormal's shape."""

    name: str = "lognormal"

    def log_density(self, z: Floats) -> Floats:
        """Of the standard normal."""
        return np.asarray(-0.5 * z * z - 0.5 * np.log(2.0 * np.pi), dtype=float)

    def log_density_slope(self, z: Floats) -> Floats:
        """-z."""
        return -z

    def log_survival(self, z: Floats) -> Floats:
        """Of the standard normal, good far into the tail."""
        return np.asarray(special.log_ndtr(-z), dtype=float)

    def log_failed(self, z: Floats) -> Floats:
        """Of the standard normal, good far into the other tail."""
        return np.asarray(special.log_ndtr(z), dtype=float)

    def quantile(self, p: Floats) -> Floats:
        """Of the standard normal."""
        return np.asarray(special.ndtri(p), dtype=float)


def log_between(shape: LifeShape, low: Floats, high: Floats) -> Floats:
    r"""Log of the share of lives that end between two standard scores, exact in either tail.

    .. math:: \ln\left[S(l) - S(h)\right] = \ln S(l) + \ln\left(1 - S(h)/S(l)\right)

    and the like by shares failed where both lie left of the middle, so that a part found worn days
    after it was fitted counts for what it says and no more: the difference of two survivals next to
    one is no number there. Two scores that are the same to the last digit give minus infinity.

    Args:
        shape: of the lives.
        low: scores of the last look at which they went; minus infinity for none; any shape.
        high: of the look that found them failed, not below ``low``; the same shape.
    """
    left = high < shape.quantile(np.array(0.5))
    with np.errstate(divide="ignore", invalid="ignore"):
        more = np.where(left, shape.log_failed(high), shape.log_survival(low))
        less = np.where(left, shape.log_failed(low), shape.log_survival(high))
        gap = np.where(np.isneginf(less), -np.inf, np.minimum(less - more, 0.0))
        return np.asarray(more + np.log(-np.expm1(gap)), dtype=float)


WEIBULL = SmallestExtreme()
LOGNORMAL = Normal()
SHAPES: tuple[LifeShape, ...] = (WEIBULL, LOGNORMAL)
