r"""Renewals: how many of a part are used up by a time, when each failed one is replaced at once.

.. math:: M(t) = F(t) + \int_0^t M(t-x)\,dF(x)

Source: H. C. Tijms, A First Course in Stochastic Models (2003), section 8.1 (table 8.1.1 is
a test).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.special import gamma

from wetend.errors import BadInput

Floats = NDArray[np.float64]


def weibull_mean(shape: float, scale: float) -> float:
    """Mean of a Weibull life.

    >>> weibull_mean(1.0, 3.0)
    3.0
    """
    return scale * float(gamma(1.0 + 1.0 / shape))


def _coarse(shape: float, scale: float, time: float, steps: int) -> float:
    """Renewal function by the midpoint recursion of Xie (1989)."""
    grid = np.linspace(0.0, time, steps + 1)
    at_grid = -np.expm1(-((grid / scale) ** shape))
    middle = -np.expm1(-(((grid[:-1] + grid[1:]) / 2.0 / scale) ** shape))
    m = np.zeros(steps + 1)
    half = float(middle[0])
    for i in range(1, steps + 1):
        inner = m[1:i] - m[: i - 1]
        total = at_grid[i] + float(inner @ middle[i - 1 : 0 : -1]) - half * m[i - 1]
        m[i] = total / (1.0 - half)
    return float(m[steps])


def renewals(shape: float, scale: float, time: float) -> float:
    r"""Expected Weibull renewals by a time.

    Midpoint recursion at two step sizes with Richardson extrapolation; beyond twelve mean lives the
    asymptote :math:`t/\mu + (c^2-1)/2`, c the coefficient of variation.

    Raises:
        BadInput: shape, scale or time is not positive (time may be 0).

    >>> round(renewals(1.0, 2.0, 3.0), 6)
    1.5
    """
    if shape <= 0 or scale <= 0 or time < 0 or not math.isfinite(shape + scale + time):
        raise BadInput("Shape and scale must be positive, and the time not negative.")
    if time == 0:
        return 0.0
    mean = weibull_mean(shape, scale)
    squared = float(gamma(1.0 + 2.0 / shape)) / float(gamma(1.0 + 1.0 / shape)) ** 2 - 1.0
    if shape == 1.0:
        return time / mean
    if time > 12.0 * mean and shape >= 0.5:
        return time / mean + (squared - 1.0) / 2.0
    steps = int(min(max(200.0, 120.0 * time / mean), 3000.0))
    coarse, fine = _coarse(shape, scale, time, steps), _coarse(shape, scale, time, 2 * steps)
    order = min(2.0, 1.0 + shape) if shape >= 1.0 else min(1.0 + shape, 2.0)
    return float(fine + (fine - coarse) / (2.0**order - 1.0))
