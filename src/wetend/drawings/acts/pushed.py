"""Tools that push, strike, hook or lie under a part, at true place and as large as they show well.

Long ones are drawn broken off, as is common practice (no source).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from wetend.drawings.acts.pieces import Box
from wetend.drawings.acts.state import Act
from wetend.drawings.pen import Pen
from wetend.drawings.svg import Point, area, box, circle, group, line
from wetend.drawings.wet_end.sizes import Sizes

METAL, WOOD = "dw-steel dw-edge", "dw-paper-fill dw-edge"


def _timber(x: float, y: float, wide: float, tall: float) -> str:
    """A block of wood with its grain."""
    grain = "".join(
        line("dw-fine", (x + 3, y + tall * k), (x + 0.4 * wide, y + tall * k - 1.5),
             (x + wide - 3, y + tall * k))
        for k in (0.28, 0.55, 0.8)
    )  # fmt: skip
    return group("dw-timber", box(WOOD, x, y, wide, tall), grain)


def _hammer(x: float, y: float, up: int, *, soft: bool) -> str:
    """A hammer whose face is at a point and that strikes along the axis; ``up`` is its side."""
    top = min(y, y + 26 * up)
    face = box("dw-soft dw-edge", x - 8, y - (6 if up < 0 else 0), 16, 6) if soft else ""
    return box(METAL, x - 8, top, 16, 26) + face + area(
        WOOD, [(x + 8, top + 9), (x + 70, top + 6), (x + 70, top + 20), (x + 8, top + 17)]
    )  # fmt: skip


@dataclass(frozen=True)
class Setting:
    """An act on its sheet."""

    act: Act
    pen: Pen
    """Draws in metres on that sheet."""
    sizes: Sizes
    home: Box
    """What the act is about, where it sits."""
    moved: Box
    """The same where it is drawn."""
    frame: Box
    back: bool = False
    """Whether the part is put back, so that it is pushed from its other end."""

    def scaled(self, millimetres: float) -> float:
        """A true length on the sheet."""
        return millimetres * self.pen.scale / 1000

    @property
    def tail(self) -> tuple[Point, int]:
        """The middle of the side that what moves is pushed at, and which way that side faces."""
        up = 1 if (self.act.way == "up") != self.back else -1  # 1: pushed from below
        x, _ = self.moved.middle
        return (x, self.moved.bottom if up > 0 else self.moved.top), up

    @property
    def housing(self) -> Box | None:
        """Where the foot-valve housing stands, if it stays."""
        s = self.sizes
        if "foot-housing" not in self.act.shown:
            return None
        top = s.foot.top + (s.foot.grip if not s.foot.clamped else 0.0)
        (left, high), (right, low) = self.pen.at(-s.foot.outer, top), self.pen.at(
            s.foot.outer, -s.foot.floor)  # fmt: skip
        return Box(left, high, right, low)

    @property
    def through(self) -> float:
        """Where a drift goes through the housing's inlet onto the ring of the seat."""
        foot, k = self.sizes.foot, self.pen.scale
        bore = foot.resting.bore if foot.resting else 0.0
        ring = 0.5 * (0.5 * self.moved.wide + bore * k)
        return self.pen.axis + min(ring, foot.inlet * k - max(self.scaled(6), 4.0))


def _block(at: Setting) -> str:
    """Timber: under what is tapped out, at the end of what is pushed, under what is chocked."""
    if at.back and at.act.part == "drive":
        return ""  # that chock is taken away
    (x, y), up = at.tail
    wide, tall = at.scaled(70), min(max(at.scaled(40), 12.0), 26.0)
    if at.act.inverted:
        rim = at.housing
        return (
            ""
            if rim is None
            else "".join(
                _timber(left, rim.top - 24, 0.42 * rim.wide, 23)
                for left in (rim.left - 6, rim.right + 6 - 0.42 * rim.wide)
            )
        )
    wide = max(wide, 30.0)
    if at.act.part == "foot-seat":  # into the housing with it
        wide = min(wide, at.moved.wide)
    return _timber(x - wide / 2, y + 1 if up > 0 else y - tall - 1, wide, tall)


def _drift(at: Setting) -> str:
    """A drift from below on the ring of what is tapped out, broken off, for it is long."""
    (_, y), _ = at.tail
    if not at.act.inverted:
        return ""
    half, out = max(at.scaled(6), 4.0), at.housing
    x = at.through
    end = max(out.bottom if out else y, y) + 20
    brk = end + 7
    return (
        area("dw-steel dw-edge", [(x - half, y), (x + half, y), (x + half, end - 3),
                                  (x - half, end + 3)])
        + area("dw-steel dw-edge", [(x - half, brk + 3), (x + half, brk - 3),
                                    (x + half, brk + 14), (x - half, brk + 14)])
    )  # fmt: skip


def _struck(at: Setting, *, soft: bool) -> str:
    (x, y), up = at.tail
    if at.act.inverted:
        x, out = at.through, at.housing
        return _hammer(x, max(out.bottom if out else y, y) + 42, 1, soft=soft)
    if "timber-block" in at.act.tools:
        return ""
    x = at.moved.right - 10
    tall = 14.0
    level = y + 1 if up > 0 else y - tall - 1
    return _timber(x - 18, level, 36, tall) + _hammer(
        x, level + (tall + 1 if up > 0 else -1), up, soft=soft
    )


def _dowel(at: Setting) -> str:
    """A timber dowel a little thinner than the hole it goes up through."""
    (x, y), up = at.tail
    half = 1.03 * at.sizes.body.rod * at.pen.scale
    if at.act.part != "static-packings" or "rod" in at.act.shown or at.back:
        half = max(at.scaled(8), 5.0)
        x = at.moved.left + half
    far = at.frame.bottom + 3 if up > 0 else at.frame.top - 3
    top, bottom = sorted((y, far))
    return _timber(x - half, top, 2 * half, bottom - top)


def _hooks(at: Setting) -> str:
    """Two hooks opposite each other, from the end that the rings come out by."""
    x, top = at.moved.middle[0], at.moved.top
    drawn = ""
    for way in (-1, 1):
        out = x + way * 0.36 * at.moved.wide
        drawn += line("dw-outline", (out, top - 34), (out, top + 12), (out + way * 6, top + 12),
                      (out + way * 6, top + 8))  # fmt: skip
        drawn += box(METAL, out - 9, top - 40, 18, 6)
    return drawn


def _pliers(at: Setting) -> str:
    """Circlip pliers from above, their pins in the ring's two eyes."""
    x, top = at.moved.middle[0], at.moved.top
    legs = "".join(
        area(METAL, [(x + w * 2, top - 30), (x + w * 10, top - 16), (x + w * 10, top),
                      (x + w * 7, top), (x + w * 7, top - 14), (x - w * 2, top - 26),
                      (x - w * 10, top - 46), (x - w * 4, top - 46)])
        for w in (-1, 1)
    )  # fmt: skip
    return legs + circle(METAL, x, top - 28, 4)


def _screwdriver(at: Setting) -> str:
    (x, _), _ = at.tail
    far = at.moved.top
    return box(METAL, x - 2, far - 22, 4, 30) + box(WOOD, x - 6, far - 46, 12, 24)


PUSHED: Mapping[str, Callable[[Setting], str]] = {
    "timber-block": _block, "soft-drift": _drift,
    "hammer": lambda at: _struck(at, soft=False), "soft-hammer": lambda at: _struck(at, soft=True),
    "timber-dowel": _dowel, "packing-hook": _hooks, "circlip-pliers": _pliers,
    "screwdriver": _screwdriver,
}  # fmt: skip
"""Tools that push, strike, hook or lie under: how each is drawn."""
ROOM: Mapping[str, tuple[float, float]] = {
    "timber-block": (30.0, 0.0), "hammer": (30.0, 0.0), "soft-hammer": (46.0, 0.0),
    "timber-dowel": (24.0, 0.0), "packing-hook": (0.0, 44.0), "circlip-pliers": (0.0, 50.0),
    "screwdriver": (0.0, 50.0),
}  # fmt: skip
"""Room that each takes on the sheet: where it pushes, and where what moves goes to."""
