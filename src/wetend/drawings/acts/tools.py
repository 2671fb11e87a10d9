"""The tools of an act where they grip, push or strike, and which of them turns and which holds.

What turns and what holds against it follows from the tool and the part: common practice, no
source. A tool of a pump's own description that is none of these is named on the page, not drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from wetend.drawings.acts.grips import Grip, clamped_at, held_at, nuts, turned_at
from wetend.drawings.acts.pieces import Box, PieceName
from wetend.drawings.acts.pushed import METAL, PUSHED, ROOM, WOOD, Setting
from wetend.drawings.acts.state import Act
from wetend.drawings.acts.tool_shapes import SIDES
from wetend.drawings.svg import Point, area, box, group, line


@dataclass(frozen=True)
class Hand:
    """One tool and what it does."""

    key: str
    role: str
    """``turn``, ``hold``, ``grip`` (a vice) or ``push``."""


def hands(act: Act) -> tuple[Hand, ...]:
    """What each tool of an act does."""
    turners = [t for t in act.tools if t in SIDES]
    if act.part == "piston" and len(turners) > 1 and "open-spanners" in turners:
        turners.sort(key=lambda t: t == "open-spanners")  # that one stays on the flats
    found = []
    if act.turned or act.bolted:
        found = [Hand(t, "hold" if number else "turn") for number, t in enumerate(turners[:2])]
        if act.turned and not turners and "soft-drift" in act.tools:
            found = [Hand("soft-drift", "turn")]
    found += [Hand("vice", "grip")] if "vice" in act.tools else []
    drawn = {h.key for h in found}
    return (*found, *(Hand(t, "push") for t in act.tools if t in PUSHED and t not in drawn))


@dataclass(frozen=True)
class Tools:
    """Tools drawn for one act on its sheet."""

    at: Setting

    @cached_property
    def hands(self) -> tuple[Hand, ...]:
        """What each tool does."""
        return hands(self.at.act)

    def _place(self, grip: Grip) -> Point:
        x, y = self.at.pen.at(grip.x, grip.z)
        if grip.part in self.at.act.lit:
            x, y = (
                x + self.at.moved.left - self.at.home.left,
                y + self.at.moved.top - self.at.home.top,
            )
        return x, y

    def _there(self, part: PieceName) -> bool:
        return part in self.at.act.lit or part in self.at.act.shown

    def turning(self) -> Box | None:
        """The room of what is turned, for the arrow round it."""
        grip = turned_at(self.at.act, self.at.sizes)
        if grip is None or not self._there(grip.part) or not self.at.act.turned:
            return None
        (x, y), r = self._place(grip), grip.radius * self.at.pen.scale
        half = 4.0
        if grip.across:
            return Box(x - half, y - r, x + half, y + r)
        return Box(x - r, y - half, x + r, y + half)

    def nuts(self) -> list[tuple[Box, bool]]:
        """The room of each nut round what is bolted, and whether its axis is level."""
        found = []
        for grip in nuts(self.at.act, self.at.sizes) if self.at.act.bolted else ():
            if self._there(grip.part):
                (x, y), r = self._place(grip), max(grip.radius * self.at.pen.scale, 4.0)
                tall = 1.1 * r
                room = Box(x, y - r, x + tall, y + r) if grip.across else Box(
                    x - r, y - tall, x + r, y)  # fmt: skip
                found.append((room, grip.across))
        return found

    def behind(self) -> str:
        """Tools that reach round a part, so that its section stays whole before them."""
        drawn = []
        turned, held = turned_at(self.at.act, self.at.sizes), held_at(self.at.act, self.at.sizes)
        for hand in self.hands:
            if hand.role == "turn" and self.at.act.turned and turned and hand.key in SIDES:
                drawn.append(self._round(turned, hand.key, -1))
            elif hand.role == "hold" and held:
                drawn.append(self._round(held, hand.key, 1))
            elif hand.role == "grip":
                drawn.append(self._vice(clamped_at(self.at.act, self.at.sizes)))
        return group("dw-tools", *drawn)

    def front(self) -> str:
        """Nuts with the tool on one of them, and what pushes or strikes."""
        drawn = []
        rooms = self.nuts()
        for room, across in rooms:
            drawn.append(_nut(room, across=across))
        for hand in self.hands:
            if hand.role == "turn" and self.at.act.bolted and rooms:
                drawn.append(self._on_nut(hand.key, *rooms[-1]))
            elif hand.role == "push":
                drawn.append(PUSHED[hand.key](self.at))
        return group("dw-tools", *drawn)

    def _round(self, grip: Grip, key: str, way: int) -> str:
        """A tool round a part from the side: both ends of its claw, and its handle one way."""
        if not self._there(grip.part):
            return ""
        side, (x, y) = SIDES[key], self._place(grip)
        r, thick, claw = (
            grip.radius * self.at.pen.scale,
            self.at.scaled(side.thick),
            self.at.scaled(side.claw),
        )
        half, bar = max(thick, 5.0) / 2, max(self.at.scaled(side.handle), 4.0) / 2
        long = self.at.scaled(side.long)

        def rect(start: float, end: float, wide: float) -> str:
            if grip.across:
                return area(METAL, [(x - wide, y + start), (x + wide, y + start),
                                     (x + wide, y + end), (x - wide, y + end)])  # fmt: skip
            return area(METAL, [(x + start, y - wide), (x + end, y - wide), (x + end, y + wide),
                                 (x + start, y + wide)])  # fmt: skip

        out = 1 if grip.across else way
        reach = r + max(claw, 3.0)
        cls = "dw-tool dw-go" if grip.part in self.at.act.moving else "dw-tool"
        return group(
            cls, rect(out * (r + 0.5 * claw), out * (r + long), bar),
            rect(r - 1, reach, half), rect(-reach, 1 - r, half),
            _flats(grip, x, y, r) if key in _FLATS else "",
            data_tool=key, data_at=grip.part,
        )  # fmt: skip

    def _vice(self, grip: Grip | None) -> str:
        """Two jaws from the edges of the sheet, soft liners between them and the part."""
        if grip is None or not self._there(grip.part):
            return ""
        (x, y), r = self._place(grip), grip.radius * self.at.pen.scale
        p, drawn = self.at.sizes.piston, ""
        half = max(self.at.scaled(18), 10.0)
        if grip.part == "piston":  # the neck alone, not the chrome over it
            half = min(half, 0.26 * (p.top - p.port_high) * self.at.pen.scale)
        for way in (-1, 1):
            liner = sorted((x + way * r, x + way * (r + 5)))
            edge = self.at.frame.left - 3 if way < 0 else self.at.frame.right + 3
            jaw = sorted((x + way * (r + 5), edge))
            drawn += box(METAL, jaw[0], y - half, jaw[1] - jaw[0], 2 * half)
            drawn += box("dw-soft dw-edge", liner[0], y - half, 5, 2 * half)
        return group("dw-tool", drawn, data_tool="vice", data_at=grip.part)

    def _on_nut(self, key: str, room: Box, across: bool) -> str:
        side = SIDES[key]
        thick, bar = max(self.at.scaled(side.thick), 9.0), max(self.at.scaled(side.handle), 4.5)
        x, y = room.middle
        if across:
            drawn = box(METAL, room.right - 3, y - bar / 2, self.at.scaled(45), bar) + box(
                METAL,
                room.right - 3 + self.at.scaled(45),
                y - bar / 2,
                bar,
                self.at.scaled(side.long),
            )
        elif key == "screwdriver":
            grip = self.at.scaled(90)
            drawn = box(METAL, x - 2.5, room.top - thick, 5, thick) + box(
                WOOD, x - bar / 2, room.top - thick - grip, bar, grip
            )
        else:
            socket = key in _SOCKETS
            high = thick if socket else 0.9 * room.tall
            top = room.top + 2 - (high if socket else 0.0)
            wide = room.wide + 2 * max(self.at.scaled(side.claw), 2.5)
            level = top - bar if socket else top + 0.5 * (high - bar)
            drawn = box(
                METAL, x - bar / 2 if socket else x, level, self.at.scaled(side.long), bar
            ) + box(METAL, x - wide / 2, top, wide, high)
        return group("dw-tool", drawn, data_tool=key, data_at=self.at.act.part)


_FLATS = frozenset({"open-spanners", "adjustable", "second-adjustable"})
_SOCKETS = frozenset({"socket-set", "breaker-bar", "torque-wrench"})


def _flats(grip: Grip, x: float, y: float, r: float) -> str:
    """Two thin diagonals: a flat on something round; common practice, no source."""
    if grip.part not in ("piston", "drive"):
        return ""
    half, wide = 7.0, 0.5 * r
    return line("dw-fine", (x - wide, y - half), (x + wide, y + half)) + line(
        "dw-fine", (x - wide, y + half), (x + wide, y - half)
    )


def _nut(room: Box, *, across: bool) -> str:
    """A nut from the side, with its edges."""
    body = box(METAL, room.left, room.top, room.wide, room.tall)
    (x, y), w, t = room.middle, 0.22 * room.wide, 0.22 * room.tall
    if across:
        return (
            body
            + line("dw-fine", (room.left, y - t), (room.right, y - t))
            + line("dw-fine", (room.left, y + t), (room.right, y + t))
        )
    return (
        body
        + line("dw-fine", (x - w, room.top), (x - w, room.bottom))
        + line("dw-fine", (x + w, room.top), (x + w, room.bottom))
    )


def room_for(act: Act, tools: Sequence[Hand], *, back: bool) -> tuple[float, float, float, float]:
    """Room beside what the act is about: left, top, right, bottom."""
    pushed = [ROOM.get(h.key, (0.0, 0.0)) for h in tools if h.role == "push"]
    tail, ahead = (max((r[i] for r in pushed), default=0.0) for i in (0, 1))
    if back:  # what lies ahead of a part comes from where it came out, what pushes it too
        tail, ahead = 0.0, max(tail, ahead)
    if act.inverted:
        tail, ahead = 76.0, 26.0
    turns = any(h.role == "turn" for h in tools)
    side = 40.0 if turns and act.turned else 30.0 if any(h.role == "grip" for h in tools) else 0.0
    above = 34.0 if act.bolted and turns and act.way == "down" else 0.0
    side = 56.0 if act.bolted and turns and act.part == "coupling" else side
    if act.way == "up":
        return side, ahead, side, tail
    return side, max(tail, above), side, ahead
