"""The zero of a function between two places, or of many functions at once, inside brackets.

Every root of one unknown that the program seeks is sought here, so that none is sought outside a
bracket.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from wetend.errors import NoAnswer

Array = NDArray[np.float64]

Point = tuple[float, float]
"""A place and the function's value there."""
_ROUNDING = 8.881784197001252e-16
"""Least relative tolerance that can be kept: four times the rounding of a double."""
_MOST_STEPS = 10_000
"""More than the square of the halvings there can be, which Brent's method never exceeds."""
_MOST_ROUNDS = 90
_BISECT_EVERY = 3


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

    Source: R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4;
    the tests hold it to SciPy's.

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

    close = max(rtol, _ROUNDING)
    return _brent(function, (low, ends[low]), (high, ends[high]), why=why, near=(xtol, close))


def _brent(
    function: Callable[[float], float], one: Point, other: Point, *,
    why: str, near: tuple[float, float],
) -> float:  # fmt: skip
    """Brent's method: interpolation where it gets on quickly enough, else halving.

    ``one`` and ``other`` are places with their values, of opposite sign.
    """
    before, at, across = one, other, one
    last = step = at[0] - before[0]
    for _ in range(_MOST_STEPS):
        if (before[1] > 0) != (at[1] > 0):
            across, last = before, at[0] - before[0]
            step = last
        if abs(across[1]) < abs(at[1]):
            before, at, across = at, across, at
        close = 0.5 * (near[0] + near[1] * abs(at[0]))
        half = 0.5 * (across[0] - at[0])
        if at[1] == 0 or abs(half) < close:
            return at[0]
        tried = _interpolated(before, at, across) if abs(last) > close else half
        good = abs(at[1]) < abs(before[1]) and 2 * abs(tried) < min(
            abs(last), 3 * abs(half) - close
        )
        last, step = (step, tried) if good else (half, half)
        before, place = at, at[0] + (step if abs(step) > close else math.copysign(close, half))
        at = (place, function(place))
        if math.isnan(at[1]):
            raise NoAnswer(why)
    raise NoAnswer(why)


def _interpolated(before: Point, at: Point, across: Point) -> float:
    """The step to where a line, or an inverse parabola, through the points is zero."""
    if at[1] == before[1]:
        return math.inf
    if before[0] == across[0]:
        return -at[1] * (at[0] - before[0]) / (at[1] - before[1])
    rise = (before[1] - at[1]) / (before[0] - at[0])
    fall = (across[1] - at[1]) / (across[0] - at[0])
    below = fall * rise * (across[1] - before[1])
    return -at[1] * (across[1] * fall - before[1] * rise) / below if below else math.inf


def rising_roots(
    residual: Callable[[Array], tuple[Array, Array]],
    low: Array,
    high: Array,
    *,
    start: Array,
    tolerance: float = 1e-10,
) -> Array:
    r"""Roots of functions that rise from below zero at ``low`` to zero or more at ``high``.

    .. math:: x_{k+1} = x_k - r(x_k) / r'(x_k)

    Newton's step wherever it stays inside the bracket, the middle of the bracket where it does not
    and, from the ninth round, at every third round besides where the step is not half the last one
    or less; so the answer is inside the bracket to 2**-27 of its width at worst, whatever the
    function. A root once found is left alone while the others are sought. A function that is
    nowhere zero (one end already on the other side) gives that end.

    Args:
        residual: value and slope at each abscissa.
        low: where each function is at most zero.
        high: where each function is at least zero.
        start: first guesses; taken into the bracket if outside.
        tolerance: largest last step, in the unit of the abscissa.

    Source: safeguarded Newton iteration, common numerical practice.

    >>> import numpy as np
    >>> square = lambda x: (x * x - np.array([2.0, 9.0]), 2 * x)
    >>> rising_roots(square, np.zeros(2), np.full(2, 4.0), start=np.ones(2))
    array([1.41421356, 3.        ])
    """
    below, above = low.copy(), high.copy()
    x = np.minimum(np.maximum(start, low), high)
    found, moved = np.zeros(x.shape, dtype=bool), np.full(x.shape, np.inf)
    for count in range(_MOST_ROUNDS):
        value, slope = residual(x)
        under = value < 0
        below = np.where(under, x, below)
        above = np.where(under, above, x)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            step = x - value / slope
        inside = (step >= below) & (step <= above)
        if count > 8 and count % _BISECT_EVERY == 0:
            inside &= np.abs(step - x) <= 0.5 * moved
        new = np.where(found, x, np.where(inside, step, 0.5 * (below + above)))
        moved = np.abs(new - x)
        found |= moved <= tolerance
        x = new
        if found.all():
            break
    return x
