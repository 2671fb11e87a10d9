"""Monotone cubic interpolation."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def _end_slope(h: Array, d: Array) -> float:
    """Slope at an end, from the two spans next to it: of a parabola, kept from overshooting."""
    slope = ((2 * h[0] + h[1]) * d[0] - h[0] * d[1]) / (h[0] + h[1])
    if np.sign(slope) != np.sign(d[0]):
        return 0.0
    if np.sign(d[0]) != np.sign(d[1]) and abs(slope) > 3 * abs(d[0]):
        return float(3 * d[0])
    return float(slope)


def slopes(x: Array, y: Array) -> Array:
    """Slopes at the points with which cubics between them keep rising where the points rise.

    Weighted harmonic mean of the rises on both sides; zero where they differ in sign.

    Args:
        x: places, rising; shape (n,), n at least 3.
        y: values there.

    Source: F. N. Fritsch and J. Butland, SIAM Journal on Scientific and Statistical Computing 5
    (1984) 300, as SciPy's ``PchipInterpolator``, to which the tests hold it.

    >>> slopes(np.array([0.0, 1.0, 2.0]), np.array([0.0, 1.0, 2.0])).tolist()
    [1.0, 1.0, 1.0]
    """
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    found = np.zeros_like(y)
    same = np.sign(d[1:]) * np.sign(d[:-1]) > 0
    w1, w2 = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
    inverse = np.divide(w1, d[:-1], out=np.zeros_like(w1), where=same)
    inverse += np.divide(w2, d[1:], out=np.zeros_like(w2), where=same)
    np.divide(w1 + w2, inverse, out=found[1:-1], where=same)
    found[0] = _end_slope(h[:2], d[:2])
    found[-1] = _end_slope(h[:-3:-1], d[:-3:-1])
    return found


def rising(x: Array, y: Array, at: Array) -> tuple[Array, Array]:
    """Values and slopes at places of the curve through points; arguments as for :func:`slopes`."""
    m = slopes(x, y)
    place = np.clip(np.searchsorted(x, at, side="right") - 1, 0, x.size - 2)
    h = x[place + 1] - x[place]
    t = (at - x[place]) / h
    y0, y1, m0, m1 = y[place], y[place + 1], m[place] * h, m[place + 1] * h
    c2, c3 = 3 * (y1 - y0) - 2 * m0 - m1, 2 * (y0 - y1) + m0 + m1
    return y0 + t * (m0 + t * (c2 + t * c3)), (m0 + t * (2 * c2 + 3 * t * c3)) / h
