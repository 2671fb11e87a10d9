"""Curves for charts: only the points an eye can tell apart, and axis marks at round figures."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wetend.drawings.svg import Point


def _farthest(points: Sequence[Point], first: int, last: int) -> tuple[int, float]:
    """The point farthest from the chord between two others, and how far."""
    (x1, y1), (x2, y2) = points[first], points[last]
    long = math.hypot(x2 - x1, y2 - y1)
    place, most = first, 0.0
    for k in range(first + 1, last):
        x, y = points[k]
        off = (
            abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) / long
            if long > 0
            else math.hypot(x - x1, y - y1)
        )
        if off > most:
            place, most = k, off
    return place, most


def simplified(points: Sequence[Point], within: float = 0.25) -> list[Point]:
    """The fewest of these points whose line stays this near to all of them, ends kept.

    Source: Douglas and Peucker, "Algorithms for the reduction of the number of points required to
    represent a digitized line or its caricature", Cartographica 10 (1973), from memory.

    >>> simplified([(0, 0), (1, 0.1), (2, 0), (3, 5), (4, 0)])
    [(0, 0), (2, 0), (3, 5), (4, 0)]
    """
    if len(points) < 3:
        return list(points)
    kept, todo = {0, len(points) - 1}, [(0, len(points) - 1)]
    while todo:
        first, last = todo.pop()
        place, off = _farthest(points, first, last)
        if off > within:
            kept.add(place)
            todo += [(first, place), (place, last)]
    return [points[k] for k in sorted(kept)]


def round_marks(low: float, high: float, about: int) -> list[float]:
    """Round figures from at or below ``low`` to at or above ``high``, about so many apart.

    >>> round_marks(0.0, 247.0, 3)
    [0.0, 100.0, 200.0, 300.0]
    >>> round_marks(-0.6, 0.4, 2)
    [-1.0, -0.5, 0.0, 0.5]
    """
    wide = max(high - low, 1e-9 * max(abs(low), abs(high)), 1e-12)
    power = 10.0 ** math.floor(math.log10(wide / about))
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= wide / about * 0.999)
    first, last = math.floor(low / step + 1e-6), math.ceil(high / step - 1e-6)
    return [round(k * step, 12) + 0.0 for k in range(first, max(last, first + 1) + 1)]
