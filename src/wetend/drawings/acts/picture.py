"""An act drawn: what is off is gone, what moves stands on its way with one arrow.

One diagram an act, every part of it visible, the rest of the pump pale behind it, and the same view
as long as it serves: M. Agrawala, D. Phan, J. Heiser, J. Haymaker, J. Klingner, P. Hanrahan and B.
Tversky, "Designing effective step-by-step assembly instructions", ACM Transactions on Graphics 22
(2003) 828 (from memory). What moves is told from the rest by weight and place, not by colour alone.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from wetend.drawings.acts.between import Between, between_of
from wetend.drawings.acts.pieces import PIECE_TITLES, Box, Piece, PieceName, Pieces
from wetend.drawings.acts.state import Act, Standing, Way, lead_of
from wetend.drawings.pen import Pen
from wetend.drawings.svg import (
    Point,
    area,
    line,
    num,
    sheet,
    tag,
    text_width,
    words,
)
from wetend.drawings.svg import box as box_of
from wetend.keeping import MB, kept
from wetend.pump.description import Pump
from wetend.pump.parts import PartName
from wetend.pump.strip_graph import Operation

WIDE, TALL = 340.0, 230.0
"""The sheet in units; on the narrowest phone a unit is a pixel."""
_FOOT = 26.0
_INSET = 56.0
"""Room at the left for the whole pump, small."""
_MARGIN = 26.0
_MOST = 3.6
"""Most that a picture enlarges the whole pump's drawing."""
_LEAST = 34.0
"""Least that is shown round what moves, in units of the whole pump's drawing."""
_STEP: Mapping[Way, Point] = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}
_BACK: Mapping[Way, Way] = {"up": "down", "down": "up", "left": "right", "right": "left"}
_ABOUT: frozenset[PartName] = frozenset({"strainer", "outlet-filter"})
"""Parts whose own axis lies across the pump's."""


def _around(pieces: Mapping[PieceName, Piece], parts: Iterable[PieceName]) -> Box | None:
    found: Box | None = None
    for part in parts:
        if part in pieces:
            box = pieces[part].box
            found = found.around(box) if found else box
    return found


@dataclass(frozen=True)
class ActPictures:
    """Pictures of all acts on one pump.

    On a page the parts are drawn once (:attr:`stock`), and each picture points to them; a picture
    that stands alone carries its own.
    """

    pump: Pump

    @cached_property
    def pieces(self) -> Pieces:
        """Parts of this pump."""
        return Pieces(self.pump)

    @cached_property
    def stock(self) -> str:
        """All parts, to stand once on a page that shows pictures pointing to them."""
        inside = (
            tag("g", piece.markup, cls="dw dw-piece", id=f"act-{part}")
            for part, piece in self._all.items()
        )
        return tag("svg", tag("defs", *inside), cls="dw dw-stock", width="0", height="0",
                   aria_hidden="true")  # fmt: skip

    @property
    def _all(self) -> Mapping[PieceName, Piece]:
        return self.pieces.all

    def strip(self, operation: Operation, done: Collection[str], *, alone: bool = False) -> str:
        """An operation of the strip, after those done before it.

        Args:
            operation: of this pump.
            done: keys of the operations done before.
            alone: whether the picture carries its parts.
        """
        act = Standing.after(self.pump, done).act(operation)
        return self._drawn(act, operation.title, back=False, alone=alone)

    def rebuild(self, operation: Operation, apart: Collection[str], title: str, *,
                alone: bool = False) -> str:  # fmt: skip
        """An operation put back, while those others are still apart.

        Args:
            operation: of this pump's strip.
            apart: keys of the operations not yet put back, without this one.
            title: what putting it back is called.
            alone: whether the picture carries its parts.
        """
        act = Standing.after(self.pump, apart).act(operation)
        return self._drawn(act, title, back=True, alone=alone)

    def strip_steps(self, operations: Iterable[Operation], *, alone: bool = False) -> Iterator[str]:
        """A picture of each operation of a strip, in the order in which they are done."""
        done: list[str] = []
        for operation in operations:
            yield self.strip(operation, done, alone=alone)
            done.append(operation.key)

    def rebuild_steps(
        self, steps: Sequence[tuple[str, str]], *, alone: bool = False
    ) -> Iterator[str]:
        """A picture of each step of a rebuild, by key and title; ``""`` where none is drawn."""
        operations = {o.key: o for o in self.pump.strip.operations}
        apart = [key for key, _ in steps if key in operations]
        for key, title in steps:
            if key in operations:
                apart.remove(key)
                yield self.rebuild(operations[key], apart, title, alone=alone)
            else:
                yield self.between(key, title, alone=alone)

    def between(self, key: str, title: str, *, alone: bool = False) -> str:
        """A step of the rebuild that puts nothing back, by its key; ``""`` where none is drawn."""
        made = between_of(key)
        if made is None:
            return ""
        return self._drawn(made.act, title, back=False, alone=alone, made=made)

    def _drawn(
        self, act: Act, title: str, *, back: bool, alone: bool, made: Between | None = None
    ) -> str:
        act = self._there(act)
        box = _around(self._all, act.lit)
        if box is None:
            return ""
        gap = self._gap(act, box)
        u, v = _STEP[act.way]
        dx, dy = u * gap, v * gap
        whole = box.around(box.moved(dx, dy))
        view = whole.grown(max(0.3 * max(box.wide, box.tall), _LEAST))
        left = 0.0 if alone else _INSET
        room = WIDE - left
        scale = min(_MOST, (room - 2 * _MARGIN) / whole.wide, (TALL - 2 * _MARGIN) / whole.tall,
                    max(room / view.wide, TALL / view.tall))  # fmt: skip
        x, y = whole.middle
        shift = (left + room / 2 - x * scale, TALL / 2 - y * scale)

        pen = self.pieces.pen
        near = Pen(pen.axis * scale + shift[0], pen.datum * scale + shift[1], pen.scale * scale, {})
        own = Pieces(self.pump, near).all if alone else {}
        liquid = made.liquid(near, self.pieces.sizes) if made and made.liquid else ""

        def put(parts: Collection[PieceName], cls: str, dx: float = 0.0, dy: float = 0.0) -> str:
            """Parts as they stand on the sheet; drawn for it, or pointed to and enlarged."""
            if alone:
                sheet_box = Box(left, 0.0, WIDE, TALL)
                seen = (
                    own[part].markup for part in own
                    if part in parts
                    and own[part].box.moved(dx * scale, dy * scale).touches(sheet_box)
                )  # fmt: skip
                return tag("g", *seen, cls=cls,
                           transform=f"translate({num(dx * scale)} {num(dy * scale)})")  # fmt: skip
            inside = (self._pointed(part) for part in self._all if part in parts)
            to = num(shift[0] + dx * scale), num(shift[1] + dy * scale)
            matrix = f"matrix({scale:.4g} 0 0 {scale:.4g} {to[0]} {to[1]})"
            return tag("g", *inside, cls=cls, transform=matrix)

        def on_sheet(b: Box) -> Box:
            return Box(b.left * scale + shift[0], b.top * scale + shift[1],
                       b.right * scale + shift[0], b.bottom * scale + shift[1])  # fmt: skip

        still = [p for p in act.shown if p not in act.lit]
        moved = on_sheet(box.moved(dx, dy))
        inside = tag(
            "svg",
            put(still, "dw-still"),
            self._guide(on_sheet(box), moved) if act.moving else "",
            liquid,
            put(act.lit, "dw-lit", dx, dy),
            self._ways(made, moved) if made else self._arrow(act, moved, back=back),
            x=left, y=0.0, width=room, height=TALL,
            viewBox=f"{num(left)} 0 {num(room)} {num(TALL)}",
        )  # fmt: skip
        frame = Box((left - shift[0]) / scale, -shift[1] / scale,
                    (WIDE - shift[0]) / scale, (TALL - shift[1]) / scale)  # fmt: skip
        return sheet(
            title, self._told(act, back=back), "" if alone else self._inset(act, frame), inside,
            *self._names(act),
            height=TALL + _FOOT, width=WIDE, cls="dw dw-act",
        )  # fmt: skip

    def _there(self, act: Act) -> Act:
        """The act as it is; where this pump has nothing of it (any more), what would hold it."""
        if any(p in self._all for p in act.lit):
            return act
        held = lead_of(act.part)
        there = held if held in act.shown else next(iter(act.shown), held)
        return replace(act, moving=(), lit=(there,), turned=False, bolted=False)

    def _inset(self, act: Act, frame: Box) -> str:
        """The whole pump as it stands, small, and what of it the picture shows."""
        there = [p for p in self._all if p in (*act.shown, *act.lit)]
        whole = _around(self._all, there)
        assert whole is not None
        scale = min((_INSET - 10) / whole.wide, (TALL - 20) / whole.tall)
        x, y = whole.middle
        shift = (_INSET / 2 - 2 - x * scale, TALL / 2 - y * scale)
        matrix = f"matrix({scale:.4g} 0 0 {scale:.4g} {num(shift[0])} {num(shift[1])})"
        lit = [self._pointed(p) for p in there if p in act.lit]
        still = [self._pointed(p) for p in there if p not in act.lit]
        left, right = max(frame.left, whole.left), min(frame.right, whole.right)
        top, bottom = max(frame.top, whole.top), min(frame.bottom, whole.bottom)
        framed = ""
        if (right - left) * (bottom - top) < 0.8 * whole.wide * whole.tall:
            framed = box_of(
                "dw-accent-line", left * scale + shift[0] - 2, top * scale + shift[1] - 2,
                (right - left) * scale + 4, (bottom - top) * scale + 4,
            )  # fmt: skip
        return (
            tag("g", *still, cls="dw-still", transform=matrix)
            + tag("g", *lit, cls="dw-lit", transform=matrix) + framed
        )  # fmt: skip

    @staticmethod
    def _pointed(part: PieceName) -> str:
        return tag("use", href=f"#act-{part}")

    def _gap(self, act: Act, box: Box) -> float:
        """How far what moves is drawn from its place: clear of what it comes out of."""
        if not act.moving:
            return 0.0
        along = box.tall if act.way in ("up", "down") else box.wide
        return max(min(1.1 * along, 60.0), 14.0)

    @staticmethod
    def _guide(home: Box, away: Box) -> str:
        """A chain line from where a part sits to where it is drawn (ISO 128-2)."""
        return line("dw-centre", home.middle, away.middle)

    def _arrow(self, act: Act, moved: Box, *, back: bool) -> str:
        way = _BACK[act.way] if back else act.way
        drawn = ""
        x, y = moved.middle
        u, v = _STEP[way]
        if act.moving or not (act.turned or act.bolted):
            upright = way in ("up", "down")
            side = moved.right + 14 if upright else x
            level = y if upright else moved.top - 14
            half = 20.0
            tail, tip = (side - u * half, level - v * half), (side + u * half, level + v * half)
            drawn += _straight(tail, tip, blows=act.struck and not act.turned)
        if act.turned:
            about: Way = act.way
            if about in ("left", "right") and not any(p in _ABOUT for p in act.lit):
                about = "up"
            drawn += _turn(moved, about, loosen=back == act.left_hand)
        if act.bolted:
            half = 11.0
            for x in (moved.left, moved.right):
                nut = Box(x - half, moved.top, x + half, moved.top + 2 * half)
                drawn += _turn(nut, "down", loosen=not back)
        return drawn

    @staticmethod
    def _ways(made: Between, box: Box) -> str:
        """Straight arrows beside what an act is about, one a way."""
        drawn = ""
        for number, way in enumerate(made.arrows):
            u, v = _STEP[way]
            x, y = box.right + 14 + 16 * number, box.middle[1]
            if way == "down" and len(made.arrows) == 1:  # poured in from above
                x, y = box.middle[0] + 0.42 * box.wide, box.top - 14
            drawn += _straight((x - 20 * u, y - 20 * v), (x + 20 * u, y + 20 * v), blows=False)
        return drawn

    def _names(self, act: Act) -> list[str]:
        """What moves, named in one line under the picture."""
        names = [PIECE_TITLES[p] for p in act.lit]
        said = ", ".join(names)
        if text_width(said, 15) > WIDE - 8:
            said = f"{PIECE_TITLES[act.part]} and its parts"
        return [words(said, WIDE / 2, TALL + 18, anchor="middle", cls="dw-text dw-big")]

    def _told(self, act: Act, *, back: bool) -> str:
        names = ", ".join(PIECE_TITLES[p] for p in act.lit)
        way = _BACK[act.way] if back else act.way
        how = "turned on its thread" if act.turned else "tapped" if act.struck else "moved straight"
        if not act.moving:
            done = "tightened" if back else "slackened"
            return f"{names}: {done} in place." if act.turned or act.bolted else f"{names}."
        return f"{names}: {how}, {'goes' if back else 'comes away'} {way}."


def _head(tip: Point, u: float, v: float, size: float = 9.0) -> str:
    x, y = tip
    return area("dw-accent", [
        (x, y), (x - size * u - 0.55 * size * v, y - size * v + 0.55 * size * u),
        (x - size * u + 0.55 * size * v, y - size * v - 0.55 * size * u),
    ])  # fmt: skip


def _straight(tail: Point, tip: Point, *, blows: bool) -> str:
    long = math.hypot(tip[0] - tail[0], tip[1] - tail[1])
    u, v = (tip[0] - tail[0]) / long, (tip[1] - tail[1]) / long
    stop = (tip[0] - 7 * u, tip[1] - 7 * v)
    shaft = line("dw-accent-thick", tail, stop)
    if blows:  # short strokes across: light blows, one after another
        marks = (tail[0] + 5 * u, tail[1] + 5 * v), (tail[0] + 11 * u, tail[1] + 11 * v)
        shaft += "".join(
            line("dw-accent-mid", (x - 6 * v, y + 6 * u), (x + 6 * v, y - 6 * u)) for x, y in marks
        )
    return shaft + _head(tip, u, v)


def _turn(around: Box, way: Way, *, loosen: bool) -> str:
    """A ring round the part's axis, its near half heavy, with the sense of a right-hand thread.

    Loosened, a thread turns anticlockwise for the user at the end it comes off by: the near
    side of a nut that comes off upwards goes to the right, of one that comes off downwards to the
    left, of one to the right down, of one to the left up.
    """
    x, y = around.middle
    across = way in ("left", "right")
    wide = max(0.5 * (around.tall if across else around.wide) + 12.0, 16.0)
    flat = 0.3 * wide
    far = -1.0 if way == "right" else 1.0
    # the near arc from its start to its end when loosened; an angle of 90 degrees is its middle
    turns = [math.radians(10.0 + 160.0 * i / 20) for i in range(21)]
    if not across:
        near = [(x - wide * math.cos(a), y + flat * math.sin(a)) for a in turns]
        back = [(x + wide * math.cos(a), y - flat * math.sin(a)) for a in turns]
        forwards = way == "up"
    else:
        near = [(x + far * flat * math.sin(a), y + wide * math.cos(a)) for a in turns]
        back = [(x - far * flat * math.sin(a), y - wide * math.cos(a)) for a in turns]
        forwards = way == "left"
    if forwards != loosen:
        near = near[::-1]
    (ax, ay), (bx, by) = near[-3], near[-1]
    long = math.hypot(bx - ax, by - ay) or 1.0
    u, v = (bx - ax) / long, (by - ay) / long
    return (
        line("dw-accent-line", *back) + line("dw-halo", *near[:-1])
        + line("dw-accent-thick", *near[:-1]) + _head((bx + 5 * u, by + 5 * v), u, v, 11.0)
    )  # fmt: skip


@kept("pictures of acts", most=8 * MB, grows=True)
def pictures_of(pump: Pump) -> ActPictures:
    """Pictures of this pump's acts."""
    return ActPictures(pump)
