"""Every part of the wet end as a piece of its own: its drawing, and the room it takes."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from wetend.drawings.pen import Pen
from wetend.drawings.svg import Point
from wetend.drawings.wet_end import parts
from wetend.drawings.wet_end.section import fitted
from wetend.drawings.wet_end.sizes import Sizes, sizes
from wetend.pump.description import Pump
from wetend.pump.measurements import PART_TITLES
from wetend.pump.parts import PartName
from wetend.units.message import Message

PieceName = PartName | Literal["piston-nut"]
"""A part, or the piston's lower end, which comes off by itself."""
PIECE_TITLES: dict[PieceName, str] = {"piston-nut": Message("piston's lower end")}
PIECE_TITLES.update(PART_TITLES.items())
"""What each is called."""
_POINT = re.compile(r"[ML](-?[\d.]+) (-?[\d.]+)")
_CIRCLE = re.compile(r'cx="(-?[\d.]+)" cy="(-?[\d.]+)" r="([\d.]+)"')


@dataclass(frozen=True)
class Box:
    """An upright rectangle on the sheet: x to the right, y down."""

    left: float
    top: float
    right: float
    bottom: float

    def moved(self, dx: float, dy: float) -> Box:
        """The same elsewhere."""
        return Box(self.left + dx, self.top + dy, self.right + dx, self.bottom + dy)

    def around(self, other: Box) -> Box:
        """The least that holds both."""
        return Box(
            min(self.left, other.left), min(self.top, other.top),
            max(self.right, other.right), max(self.bottom, other.bottom),
        )  # fmt: skip

    def touches(self, other: Box) -> bool:
        """Whether the two share any room."""
        return (self.left <= other.right and other.left <= self.right
                and self.top <= other.bottom and other.top <= self.bottom)  # fmt: skip

    def grown(self, by: float) -> Box:
        """The same with a margin."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    @property
    def wide(self) -> float:
        """Its width."""
        return self.right - self.left

    @property
    def tall(self) -> float:
        """Its height."""
        return self.bottom - self.top

    @property
    def middle(self) -> Point:
        """Its centre."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


@dataclass(frozen=True)
class Piece:
    """One part drawn at its place in the whole pump."""

    markup: str
    box: Box


def _room(markup: str) -> Box:
    """The room that a piece's outlines take; hatching lies inside them."""
    points = [(float(x), float(y)) for x, y in _POINT.findall(markup)]
    for x, y, r in ((float(a), float(b), float(c)) for a, b, c in _CIRCLE.findall(markup)):
        points += [(x - r, y - r), (x + r, y + r)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True)
class Pieces:
    """All pieces of a pump, back to front."""

    pump: Pump
    drawn_with: Pen | None = None
    """Another pen, to draw them as large as a picture that stands alone shows them."""

    @cached_property
    def sizes(self) -> Sizes:
        """Of the whole wet end, thin rings as thick as they have to be to be seen."""
        scale, _ = fitted(sizes(self.pump))
        return sizes(self.pump, {kind: tall / scale for kind, tall in parts.THINNEST.items()})

    @cached_property
    def pen(self) -> Pen:
        """Puts the wet end in the middle of a sheet, if no other is given."""
        if self.drawn_with:
            return self.drawn_with
        s = self.sizes
        scale, axis = fitted(s)
        return Pen(axis, s.high * scale, scale, {})

    @cached_property
    def all(self) -> Mapping[PieceName, Piece]:
        """Each part's piece."""
        s, pump, pen = self.sizes, self.pump, self.pen
        drawn: dict[PieceName, str] = {
            "strainer": parts.strainer(pen, s), "suction-elbow": parts.elbow(pen, s),
            "cylinder": parts.cylinder(pen, s), "outlet-filter": parts.outlet_filter(pen, s),
            "body": parts.body(pen, s), "static-packings": parts.static_packings(pen, pump, s),
            "rod": parts.rod(pen, s), "drive": parts.drive(pen, s),
            "coupling": parts.coupling(pen, s),
        }  # fmt: skip
        for group in (
            parts.housing(pen, s), parts.stack(pen, s), parts.gland(pen, s, liquid=False),
            parts.piston(pen, pump, s),
        ):  # fmt: skip
            drawn.update(group.items())
        drawn["piston"], drawn["piston-nut"] = parts.piston_ends(pen, s)
        return {
            part: Piece(drawn[part], _room(drawn[part]))
            for part in _BACK_TO_FRONT if drawn.get(part)
        }  # fmt: skip


_BACK_TO_FRONT: tuple[PieceName, ...] = (
    "strainer", "suction-elbow", "clamp-ring", "foot-housing", "foot-seat", "cage", "soft-ring",
    "shim", "foot-ball", "cylinder", "outlet-filter", "body", "gland-nut", "wet-cup",
    "static-packings", "piston", "piston-nut", "piston-seat", "piston-ball",
    "moving-packings", "rod",
    "drive",
    "coupling",
)  # fmt: skip
