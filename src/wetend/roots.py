"""The zero of a function between two places, found only where its signs there differ.

Every root of one unknown that the program seeks is sought here, so that none is sought outside a
bracket. Many at once: :mod:`wetend.physics.stroke.root`.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from scipy.optimize import brentq

from wetend.errors import NoAnswer

_ROUNDING = 8.881784197001252e-16
"""Least relative tolerance that can be kept: four times the rounding of a double."""
_MOST_STEPS = 10_000
"""More than the square of the halvings there can be, which Brent's method never exceeds."""


def zero_between(
    function: Callable[[float], float],
    low: float,
    high: float,
    *,
    why: str,
    xtol: float = 1e-12,
    rtol: float = _ROUNDING,
) -> float:
    """Where a continuous function is zero, by Brent's method.

    Args:
        function: of one unknown.
        low: one end of the search.
        high: the other end; at one of the two the function is below zero, at the other above.
        why: the sentence said where it is not.
        xtol: how far off the answer may be.
        rtol: the same as a share of it.

    Source: R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4, as in
    SciPy.

    Raises:
        NoAnswer: the function has one sign at both ends, or no value there.

    >>> round(zero_between(lambda x: x * x - 2.0, 0.0, 2.0, why="No root."), 6)
    1.414214
    """
    ends = {low: function(low), high: function(high)}
    for place, value in ends.items():
        if value == 0:
            return place
    if not all(math.isfinite(v) for v in (low, high, *ends.values())):
        raise NoAnswer(why)
    if (ends[low] > 0) == (ends[high] > 0):
        raise NoAnswer(why)

    def known(place: float) -> float:
        return ends[place] if place in ends else function(place)

    close = max(rtol, _ROUNDING)
    return float(brentq(known, low, high, xtol=xtol, rtol=close, maxiter=_MOST_STEPS))
