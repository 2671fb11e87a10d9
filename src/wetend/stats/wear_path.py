r"""Wear measured now and then: how fast it grows, and how long until its limit.

.. math:: w_j = r\,W_j + e_j, \quad \ln r \sim N(m, s^2), \quad e_j \sim N(0, u_j^2)

W exposure since the part was new, r the rate, u the uncertainty of one measurement. The posterior
of the rate is laid out on a grid; what is left is :math:`(w_{limit} - r W_{now})/r`, not below 0.

Source: W. Q. Meeker, L. A. Escobar, Statistical Methods for Reliability Data (1998), chapter 13
(from memory): linear degradation with a random rate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput
from wetend.units.message import Message

Floats = NDArray[np.float64]
_GRID = 801


@dataclass(frozen=True)
class WearPoint:
    """One measurement: exposure then, wear found, its standard uncertainty."""

    exposure: float
    wear: float
    uncertainty: float


def wear_rates(
    looks: Sequence[WearPoint], *, middle: float, spread: float, uniform: Floats
) -> Floats:
    """Draws of the rate of wear after these looks.

    Args:
        looks: measurements of the one part, in any order.
        middle: prior median of the rate.
        spread: prior standard deviation of its logarithm.
        uniform: numbers between 0 and 1, one a draw.

    Raises:
        BadInput: an uncertainty, the prior rate or spread is not positive.

    >>> u = np.array([0.05, 0.5, 0.95])
    >>> wear_rates([WearPoint(100.0, 2.0, 0.01)], middle=0.05, spread=0.8, uniform=u).round(4)
    array([0.0198, 0.02  , 0.0202])
    """
    if middle <= 0 or spread <= 0 or any(look.uncertainty <= 0 for look in looks):
        raise BadInput(Message("Prior rate, its spread and every uncertainty must be positive."))
    logs = math.log(middle) + spread * np.linspace(-6.0, 6.0, _GRID)
    for _ in range(2):  # the second time about where the first found the weight to be
        density = _log_density(logs, looks, math.log(middle), spread)
        cumulative = np.cumsum(np.exp(density - density.max()))
        cumulative /= cumulative[-1]
        ends = np.interp([1e-5, 1.0 - 1e-5], cumulative, logs)
        width = max(float(ends[1] - ends[0]), 1e-6)
        last = logs
        logs = np.linspace(float(ends[0]) - 0.5 * width, float(ends[1]) + 0.5 * width, _GRID)
    step = float(last[1] - last[0])
    return np.exp(np.interp(uniform, cumulative, last + 0.5 * step))


def _log_density(logs: Floats, looks: Sequence[WearPoint], middle: float, spread: float) -> Floats:
    rate = np.exp(logs)
    total = -0.5 * ((logs - middle) / spread) ** 2
    for look in looks:
        total = total - 0.5 * ((look.wear - rate * look.exposure) / look.uncertainty) ** 2
    return np.asarray(total, dtype=float)


def left_to_limit(rates: Floats, *, limit: float, exposure: float) -> Floats:
    """Exposure left, for every rate drawn, until the wear reaches its limit."""
    return np.maximum(limit / rates - exposure, 0.0)
