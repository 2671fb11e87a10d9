"""A set of V-rings in section, lips the way they face."""

from __future__ import annotations

from typing import Literal

from wetend.drawings.pen import Pen, mirrored
from wetend.drawings.svg import Point, area
from wetend.pump.parts import PartName


def _profiles(
    inner: float, outer: float, low: float, high: float, rings: int
) -> tuple[list[list[Point]], list[list[Point]]]:
    """The V-rings and the two adapters that back and spread them, lips up."""
    middle, tall = (inner + outer) / 2, high - low
    arm = min(0.36 * (outer - inner), 0.28 * tall)
    heel = 0.1 * tall
    each = (tall - heel - 1.25 * arm) / rings
    vees = []
    for i in range(rings):
        z = low + heel + i * each
        vees.append([(inner, z + arm), (middle, z), (outer, z + arm), (outer, z + arm + each),
                     (middle, z + each), (inner, z + arm + each)])  # fmt: skip
    first, last = low + heel, low + heel + rings * each
    adapters = [
        [(inner, low), (outer, low), (outer, first + arm), (middle, first), (inner, first + arm)],
        [(inner, last + arm), (middle, last), (outer, last + arm), (outer, high), (inner, high)],
    ]
    return vees, adapters


def packings(
    pen: Pen,
    part: PartName,
    *,
    inner: float,
    outer: float,
    low: float,
    high: float,
    rings: int,
    lips: Literal["up", "down"],
) -> str:
    """The set between two radii and two heights, both sides of the axis."""
    vees, adapters = _profiles(inner, outer, low, high, rings)
    if lips == "down":
        vees = [[(r, low + high - z) for r, z in v] for v in vees]
        adapters = [[(r, low + high - z) for r, z in a] for a in adapters]
    drawn = []
    for profile in adapters:
        both = [pen.ring(profile), pen.ring(mirrored(profile))]
        drawn.append(area("dw-steel dw-edge-thin", *both))
    for profile in vees:
        both = [pen.ring(profile), pen.ring(mirrored(profile))]
        drawn.append(area(f"{pen.fill(part, 'dw-soft-pale')} dw-edge-thin", *both))
    return pen.part(part, *drawn)
