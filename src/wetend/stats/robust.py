"""Centres and differences that a few bad readings can't drag away: stroke times and the like."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput
from wetend.keeping import MB, kept
from wetend.lazy_import import special
from wetend.units.message import Message
from wetend.units.quantity import Ratio

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Welch:
    """Two means compared without taking their spreads to be equal."""

    difference: float
    """First mean less second."""
    uncertainty: float
    t: float
    degrees: float
    p: Ratio
    """Two-sided."""
    low: float
    high: float


@dataclass(frozen=True)
class Shift:
    """How far one sample lies above another, by ranks."""

    rank_sum: int
    """Pairs in which the first lies above the second, ties as a half (Mann-Whitney count)."""
    p_greater: Ratio
    """Probability of a count so large were there no shift (exact, no ties)."""
    shift: float
    low: float
    high: float
    confidence: Ratio
    """What the interval truly covers: the least attainable at or above what was asked."""


def _array(values: Sequence[float], least: int) -> Floats:
    array = np.asarray(values, dtype=float)
    if array.size < least:
        raise BadInput(
            Message(
                "At least {least} readings are needed; {size} were given.",
                least=least,
                size=array.size,
            )
        )
    if not np.isfinite(array).all():
        raise BadInput(Message("Every reading must be an ordinary number."))
    return array


def hodges_lehmann(values: Sequence[float]) -> float:
    """Robust centre: the median of the means of all pairs, each value paired with itself too.

    Up to 29 % of the values may be wild; for normal readings nearly as sharp as the mean (95 %).
    Source: Hodges and Lehmann, "Estimates of location based on rank tests", *Annals of Mathematical
    Statistics* 34 (1963) 598-611.

    >>> hodges_lehmann([1.40, 1.42, 1.44, 9.0])
    1.43
    """
    array = _array(values, 1)
    one, other = np.triu_indices(array.size)
    return float(np.median((array[one] + array[other]) / 2))


def spread_by_median(values: Sequence[float]) -> float:
    r"""Robust standard deviation: 1.4826 times the median distance from the median.

    Consistent for the normal law: :math:`1/\Phi^{-1}(3/4)`.

    >>> spread_by_median([1.0, 2.0, 3.0, 4.0, 100.0])
    1.4826
    """
    array = _array(values, 1)
    return float(np.median(np.abs(array - np.median(array))) / special.ndtri(0.75))


def centre(values: Sequence[float]) -> tuple[float, float]:
    r"""Robust centre and its standard uncertainty.

    :func:`hodges_lehmann` with :math:`s\sqrt{\pi/3n}`, s from the median distance, or from the
    plain standard deviation where most values are alike; :math:`\pi/3` is the estimate's
    asymptotic variance ratio to the mean for normal readings (Hodges and Lehmann 1963).

    >>> middle, uncertainty = centre([1.40, 1.42, 1.44, 1.46, 9.0])
    >>> middle, uncertainty
    (1.44, 0.0136)
    """
    array = _array(values, 2)
    spread = spread_by_median(values) or float(array.std(ddof=1))
    return hodges_lehmann(values), spread * math.sqrt(math.pi / 3 / array.size)


def welch(first: Sequence[float], second: Sequence[float], *, confidence: Ratio = 0.95) -> Welch:
    r"""Difference of two means with its interval and two-sided p.

    .. math:: t=\frac{\bar x-\bar y}{\sqrt{s_x^2/n+s_y^2/m}}

    Degrees of freedom by Welch-Satterthwaite. Source: Welch, "The generalization of 'Student's'
    problem when several different population variances are involved", *Biometrika* 34 (1947) 28-35.

    Raises:
        BadInput: fewer than two readings on a side, or no spread at all.

    >>> welch([1.40, 1.42, 1.44], [0.98, 1.00, 0.96]).difference
    0.44
    """
    x, y = _array(first, 2), _array(second, 2)
    u, v = float(x.var(ddof=1)) / x.size, float(y.var(ddof=1)) / y.size
    if u + v == 0:
        raise BadInput(
            Message("All readings are alike; their spread, and so the difference's, is unknown.")
        )
    difference = float(x.mean() - y.mean())
    spread = math.sqrt(u + v)
    degrees = (u + v) ** 2 / (u**2 / (x.size - 1) + v**2 / (y.size - 1))
    t = difference / spread
    half = float(special.stdtrit(degrees, (1 + confidence) / 2)) * spread
    return Welch(
        difference, spread, t, degrees, 2 * float(special.stdtr(degrees, -abs(t))),
        difference - half, difference + half,
    )  # fmt: skip


@kept("rank orders counted", most=8 * MB)
def _ways(n: int, m: int) -> tuple[int, ...]:
    """In how many orders of n and m distinct values the first stand above so many of the second.

    Coefficients of the Gaussian binomial, multiplied and divided out factor by factor.
    """
    size = n * m + 1
    ways = [1] + [0] * (size - 1)
    for k in range(1, n + 1):
        for i in range(size - 1, m + k - 1, -1):  # times 1 - q^(m+k)
            ways[i] -= ways[i - m - k]
        for i in range(k, size):  # over 1 - q^k
            ways[i] += ways[i - k]
    return tuple(ways)


def rank_shift(
    first: Sequence[float], second: Sequence[float], *, confidence: Ratio = 0.95
) -> Shift:
    """Median difference between two samples with an exact interval, by rank sums.

    The shift is the median of all differences (Hodges-Lehmann); p and the interval count every
    order of the readings, so hold for any law, but for few ties only.
    Source: Hollander and Wolfe, *Nonparametric Statistical Methods*, chapter 4.

    >>> rank_shift([1.40, 1.42, 1.44, 1.43], [0.98, 1.00, 0.96, 0.97]).shift
    0.445
    """
    x, y = _array(first, 1), _array(second, 1)
    differences = np.sort((x[:, None] - y[None, :]).ravel())
    count = math.ceil(float((differences > 0).sum() + 0.5 * (differences == 0).sum()))
    ways = _ways(x.size, y.size)
    total = sum(ways)
    cumulative = np.cumsum([w / total for w in ways])
    greater = 1.0 - (float(cumulative[count - 1]) if count else 0.0)
    outside = int(np.searchsorted(cumulative, (1 - confidence) / 2, side="right"))
    covered = 1.0 - 2 * (float(cumulative[outside - 1]) if outside else 0.0)
    low, high = (
        (differences[outside - 1], differences[-outside]) if outside else (-math.inf, math.inf)
    )
    return Shift(count, greater, float(np.median(differences)), float(low), float(high), covered)
