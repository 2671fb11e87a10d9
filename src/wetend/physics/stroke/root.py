"""Roots of many rising functions at once, always inside their brackets."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_MOST = 90
_BISECT_EVERY = 3


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
    for count in range(_MOST):
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
