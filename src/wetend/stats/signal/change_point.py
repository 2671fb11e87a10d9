"""Where a series steps from one level to another, and whether it does at all."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetend.errors import BadInput
from wetend.units.message import Message


@dataclass(frozen=True)
class Step:
    """The best single step of level in a series."""

    before: int
    """Values before the step."""
    low_mean: float
    """Mean before the step."""
    high_mean: float
    """Mean from the step on."""
    rss: float
    """Sum of squares left about the two means."""
    rss_flat: float
    """Sum of squares left about one mean."""
    gain: float
    """By how much the step lowers the Bayes information criterion; above 0 it is worth having."""


def _criterion(rss: float, n: int, free: int) -> float:
    return n * (math.log(max(rss, 1e-300) / n) + 1 + math.log(2 * math.pi)) + free * math.log(n)


def step(values: Sequence[float], *, least: int = 2) -> Step:
    r"""The step that leaves the least sum of squares, and whether it pays for itself.

    .. math:: \mathrm{BIC} = n(\ln\tfrac{RSS}{n} + 1 + \ln 2\pi) + k \ln n

    with k = 2 without the step (a mean and the variance) and 4 with it. Holds for independent
    values of equal spread. Source: Bai, "Least squares estimation of a shift in linear processes",
    *Journal of Time Series Analysis* 15 (1994) 453-472; Schwarz, "Estimating the dimension of a
    model", *Annals of Statistics* 6 (1978) 461-464.

    Args:
        values: in order, evenly spaced or not.
        least: fewest values on either side.

    Raises:
        BadInput: fewer than twice ``least`` values.

    >>> found = step([1.0, 1.1, 0.9, 1.0, 2.0, 2.1, 1.9, 2.0])
    >>> found.before, found.low_mean, found.high_mean, found.gain > 0
    (4, 1.0, 2.0, True)
    """
    x = np.asarray(values, dtype=float)
    n = x.size
    if n < 2 * max(least, 1):
        raise BadInput(
            Message(
                "A step needs at least {least} values; {n} were given.",
                least=2 * max(least, 1),
                n=n,
            )
        )
    centred = x - x.mean()
    sums = np.cumsum(centred)
    k = np.arange(1, n)
    saved = sums[:-1] ** 2 * n / (k * (n - k))
    allowed = (k >= least) & (k <= n - least)
    best = int(np.argmax(np.where(allowed, saved, -1.0))) + 1
    flat = float(centred @ centred)
    rss = max(flat - float(saved[best - 1]), 0.0)
    gain = _criterion(flat, n, 2) - _criterion(rss, n, 4) if flat > 0 else 0.0
    return Step(best, float(x[:best].mean()), float(x[best:].mean()), rss, flat, gain)
