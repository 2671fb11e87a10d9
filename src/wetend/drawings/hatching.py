"""Section hatching: parallel thin lines at 45 degrees, clipped to any outline (ISO 128-3).

The lines are computed here instead of left to the viewer's pattern fill, so that they print at
true weight, run on through both halves of a part, and need no names shared between drawings.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from wetend.drawings.svg import Point

Segment = tuple[Point, Point]


def _crossings(ring: Sequence[Point], slope: float, offset: float) -> list[float]:
    """Where the line ``y = slope x + offset`` crosses a closed ring, by x."""
    found = []
    for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
        a, b = y1 - slope * x1 - offset, y2 - slope * x2 - offset
        if (a < 0) != (b < 0):
            found.append(x1 + (x2 - x1) * a / (a - b))
    return found


def hatch(*rings: Sequence[Point], spacing: float = 4.0, rising: bool = True) -> list[Segment]:
    """Hatch lines inside the rings; a ring within another is a hole.

    Args:
        rings: closed outlines in drawing units.
        spacing: distance between lines, square to them.
        rising: lines rise to the right, as seen; otherwise they fall.

    >>> square = [(0, 0), (4, 0), (4, 4), (0, 4)]
    >>> [round(math.dist(a, b), 3) for a, b in hatch(square, spacing=math.sqrt(8))]
    [5.657]
    """
    slope = -1.0 if rising else 1.0
    offsets = [y - slope * x for ring in rings for x, y in ring]
    if not offsets or spacing <= 0:
        return []
    step = spacing * math.sqrt(2)
    lines = []
    for k in range(math.ceil(min(offsets) / step), math.floor(max(offsets) / step) + 1):
        offset = k * step
        xs = sorted(x for ring in rings for x in _crossings(ring, slope, offset))
        lines += [
            ((a, slope * a + offset), (b, slope * b + offset))
            for a, b in zip(xs[::2], xs[1::2], strict=False)
            if b - a > 0.3
        ]
    return lines
