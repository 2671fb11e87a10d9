"""Where the tools of an act grip: the part that turns, the part held against it, nuts round it.

Where a tool may grip is common practice, no source: flats and thick ends, never chrome or threads.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from wetend.drawings.acts.pieces import PieceName
from wetend.drawings.acts.state import Act
from wetend.drawings.wet_end.sizes import Sizes
from wetend.pump.parts import PartName

_NUT = 0.009
"""Half the width across flats of a nut that is drawn round a part; common practice, no source."""


@dataclass(frozen=True)
class Grip:
    """A place on a part, in metres from the axis and from the housing's floor."""

    part: PieceName
    """Whose movement the tool goes with."""
    x: float
    z: float
    radius: float
    """Half the opening of a tool that fits."""
    across: bool = False
    """Whether it turns about a level axis."""


def _strainer(s: Sizes) -> Grip:
    foot = s.foot
    reach = foot.inlet + foot.wall
    level = -foot.floor - foot.wall - foot.bend
    return Grip("strainer", 1.7 * foot.bend + 0.4 * reach, level, 1.25 * reach, across=True)


def _filter_bowl(s: Sizes) -> Grip:
    b = s.body
    wide = 1.75 * b.port
    return Grip("outlet-filter", -b.port_reach - 1.2 * wide, b.port_z - 0.6 * wide, 1.6 * wide,
                across=True)  # fmt: skip


def hose_union(s: Sizes) -> Grip:
    """The union at the far end of the outlet filter."""
    b = s.body
    wide = 1.75 * b.port
    return Grip("outlet-filter", -b.port_reach - 2.8 * wide, b.port_z, 0.7 * wide, across=True)


_TURNED: Mapping[PartName, Callable[[Sizes], Grip]] = {
    "gland-nut": lambda s: Grip("gland-nut", 0, 0.5 * (s.body.top + s.body.head_top), s.body.head),
    "foot-housing": lambda s: Grip("foot-housing", 0, 0.55 * s.foot.top, s.foot.outer),
    "clamp-ring": lambda s: Grip("clamp-ring", 0, s.foot.top + 0.3 * s.foot.grip, s.foot.outer),
    "cylinder": lambda s: Grip("cylinder", 0, _middle(s), s.cylinder.outer),
    "coupling": lambda s: Grip(
        "coupling", 0, 0.5 * (s.body.break_high + 0.5 * s.body.rod + s.body.coupling_top),
        s.body.coupling,
    ),
    "piston": lambda s: Grip("piston-nut", 0, 0.5 * (s.piston.low + s.piston.nut), s.piston.outer),
    "strainer": _strainer,
    "outlet-filter": _filter_bowl,
}  # fmt: skip


def _middle(s: Sizes) -> float:
    """Between the foot-valve housing and the body, where the cylinder is bare outside."""
    return 0.5 * (s.cylinder.low + s.cylinder.collar_height + s.body.low)


def _above_housing(s: Sizes) -> Grip:
    c = s.cylinder
    end = max(c.low + 1.15 * c.collar_height, s.foot.top + s.foot.grip)
    return Grip("cylinder", 0, end + 0.25 * max(s.body.low - end, 0.0), c.outer)


_HELD: Mapping[PartName, Callable[[Sizes], Grip]] = {
    "foot-housing": _above_housing,
    "clamp-ring": _above_housing,
    "cylinder": lambda s: Grip(
        "body", 0, s.body.low + 0.3 * (s.cylinder.high - s.body.low), s.body.outer
    ),
    "coupling": lambda s: Grip("drive", 0, s.body.coupling_top + 0.4 * s.body.rod,
                               0.8 * s.body.rod),
    "piston": lambda s: Grip("piston", 0, _neck(s, 0.24), s.piston.neck),
}  # fmt: skip
"""By the part that is turned: the part that is held so that it does not turn with it."""


def _neck(s: Sizes, share: float) -> float:
    return s.piston.port_high + share * (s.piston.top - s.piston.port_high)


def clamped_at(act: Act, s: Sizes) -> Grip | None:
    """Where a vice grips: the flats of the piston's neck, or what is held in its stead."""
    if act.part == "piston":
        return Grip("piston", 0, _neck(s, 0.72), s.piston.neck)
    return held_at(act, s) or turned_at(act, s)


def turned_at(act: Act, s: Sizes) -> Grip | None:
    """Where the tool that turns grips; none where the part has no such place."""
    if act.part == "outlet-filter" and not act.moving:
        return hose_union(s)
    place = _TURNED.get(act.part)
    return place(s) if place else None


def held_at(act: Act, s: Sizes) -> Grip | None:
    """Where a second tool holds against the first."""
    place = _HELD.get(act.part)
    return place(s) if place else None


def nuts(act: Act, s: Sizes) -> tuple[Grip, ...]:
    """Nuts or screws round a part that the section does not show."""
    b, c = s.body, s.cylinder
    if act.part == "body":
        level = min(b.throat + 0.45 * (b.outer - b.neck), b.box_high)
        out = 0.5 * (b.outer + b.neck)
        return tuple(Grip("body", way * out, level, _NUT) for way in (-1, 1))
    if act.part == "cylinder":
        level, out = c.low + c.collar_height, c.outer + 1.2 * _NUT
        return tuple(Grip("cylinder", way * out, level, _NUT) for way in (-1, 1))
    if act.part == "coupling":
        low, high = b.break_high + 0.5 * b.rod, b.coupling_top
        return tuple(
            Grip("coupling", 1.13 * b.coupling, z, 0.17 * b.rod, across=True)
            for z in (high - 0.42 * b.rod, low + 0.42 * b.rod)
        )
    if act.part == "strainer":
        at = _strainer(s)
        return (Grip("strainer", at.x, at.z + at.radius, 0.5 * _NUT),)
    return ()
