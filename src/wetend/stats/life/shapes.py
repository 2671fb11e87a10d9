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

    def quantile(self, p: Floats) -> Floats:
        """Of the standard normal."""
        return np.asarray(special.ndtri(p), dtype=float)


WEIBULL = SmallestExtreme()
LOGNORMAL = Normal()
SHAPES: tuple[LifeShape, ...] = (WEIBULL, LOGNORMAL)
