"""One act on its sheet: laid out, what stays pale, what moves lit, tools, risks and arrows."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from wetend.drawings.acts.arrows import straight, turn
from wetend.drawings.acts.between import Between
from wetend.drawings.acts.grips import held_at, nuts
from wetend.drawings.acts.pieces import PIECE_TITLES, Box, Piece, PieceName, Pieces
from wetend.drawings.acts.pushed import Setting
from wetend.drawings.acts.risks import Risks, marked
from wetend.drawings.acts.state import Act, Way, lead_of
from wetend.drawings.acts.tool_shapes import GLYPH, from_the_end
from wetend.drawings.acts.tools import Hand, Tools, hands, room_for
from wetend.drawings.pen import Pen
from wetend.drawings.svg import Point, line, num, sheet, shortened, tag, text_width, words, wrapped
from wetend.drawings.svg import box as box_of
from wetend.drawings.words import AS_WRITTEN, saying
from wetend.pump.parts import PartName
from wetend.units.message import Message, Text, Words, joined

WIDE, TALL = 340.0, 230.0
"""The sheet in units; on the narrowest phone a unit is a pixel."""
_FOOT, _ROW = 26.0, 15.0
_INSET = 56.0
"""Room at the left for the whole pump, small, and for tools from their end."""
_MARGIN = 26.0
_MOST = 3.6
"""Most that a picture enlarges the whole pump's drawing."""
_LEAST = 34.0
"""Least that is shown round what moves, in units of the whole pump's drawing."""
_STEP: Mapping[Way, Point] = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}
_BACK: Mapping[Way, Way] = {"up": "down", "down": "up", "left": "right", "right": "left"}
_WAY_WORDS: Mapping[Way, str] = {
    "up": Message("upwards"), "down": Message("downwards"), "left": Message("to the left"),
    "right": Message("to the right"),
}  # fmt: skip
_TURNED, _TAPPED = Message("turned on its thread"), Message("tapped")
_STRAIGHT = Message("moved straight")
_ABOUT: frozenset[PartName] = frozenset({"strainer", "outlet-filter"})
"""Parts whose own axis lies across the pump's."""


def _around(pieces: Mapping[PieceName, Piece], parts: Iterable[PieceName]) -> Box | None:
    found: Box | None = None
    for part in parts:
        if part in pieces:
            box = pieces[part].box
            found = found.around(box) if found else box
    return found


def seen(act: Act, pieces: Mapping[PieceName, Piece]) -> Act:
    """The act as it is; where this pump has nothing of it (any more), what would hold it.

    What is tapped out through the housing's inlet needs the elbow off.
    """
    if act.inverted:
        act = replace(act, shown=tuple(p for p in act.shown if p != "suction-elbow"))
    if any(p in pieces for p in act.lit):
        return act
    held = lead_of(act.part)
    there = held if held in act.shown else next(iter(act.shown), held)
    return replace(act, moving=(), lit=(there,), turned=False, bolted=False, tools=())


@dataclass(frozen=True)
class View:
    """The picture of one act."""

    pieces: Pieces
    act: Act
    back: bool
    """Whether the part is put back."""
    alone: bool
    """Whether the picture carries its parts, or points to those that stand on its page."""
    made: Between | None = None
    """What a step that puts nothing back shows."""
    risks: Risks = field(default_factory=Risks)
    reader: Words = AS_WRITTEN
    """Who reads its words."""

    @property
    def _all(self) -> Mapping[PieceName, Piece]:
        return self.pieces.all

    @cached_property
    def _hands(self) -> tuple[Hand, ...]:
        return hands(self.act)

    @cached_property
    def _ends(self) -> list[tuple[str, int]]:
        """Tools shown from their end, and which way each turns: 1 is anticlockwise."""
        loosen = (self.back == self.act.left_hand) if self.act.turned else not self.back
        turned = 1 if loosen else -1
        return [(h.key, turned if h.role == "turn" else 0) for h in self._hands
                if h.role in ("turn", "hold")]  # fmt: skip

    @cached_property
    def _left(self) -> float:
        return _INSET if not self.alone or self._ends else 0.0

    @cached_property
    def _box(self) -> Box:
        """What the act is about, in the drawing of the whole pump."""
        box = _around(self._all, self.act.lit)
        assert box is not None
        return box

    @cached_property
    def _away(self) -> Point:
        """How far what moves is drawn from its place, in that drawing: clear of what it leaves."""
        if not self.act.moving:
            return 0.0, 0.0
        box = self._box
        along = box.tall if self.act.way in ("up", "down") else box.wide
        gap = max(min(1.1 * along, 60.0), 14.0)
        u, v = _STEP[self.act.way]
        return u * gap, v * gap

    @property
    def _held(self) -> Box | None:
        """What is held against the tool that turns, in the whole pump's drawing."""
        grip = held_at(self.act, self.pieces.sizes)
        if grip is None or grip.part not in self.act.shown:
            return None
        if not any(h.role in ("hold", "grip") for h in self._hands):
            return None
        pen = self.pieces.pen
        (x, y), r = pen.at(grip.x, grip.z), grip.radius * pen.scale
        return Box(x - r, y - 0.3 * r, x + r, y + 0.3 * r)

    @property
    def _nuts(self) -> Iterator[Box]:
        """Nuts that are turned round a part, in the whole pump's drawing."""
        pen = self.pieces.pen
        for grip in nuts(self.act, self.pieces.sizes) if self.act.bolted else ():
            lit = grip.part in self.act.lit
            if lit or grip.part in self.act.shown:
                (x, y), r = pen.at(grip.x, grip.z), grip.radius * pen.scale
                box = Box(x - r, y - r, x + r, y + r)
                yield box.moved(*self._away) if lit else box

    @cached_property
    def _placed(self) -> tuple[float, Point]:
        """How much the whole pump's drawing is enlarged, and where it then stands."""
        box = self._box
        whole = box.around(box.moved(*self._away))
        if self.act.inverted and (home := _around(self._all, ("foot-housing",))):
            whole = whole.around(home)
        if held := self._held:
            whole = whole.around(held)
        for nut in self._nuts:
            whole = whole.around(nut)
        view = whole.grown(max(0.3 * max(box.wide, box.tall), _LEAST))
        left, top, right, bottom = (
            max(_MARGIN, n) for n in room_for(self.act, self._hands, back=self.back)
        )
        room = WIDE - self._left
        wide, tall = room - left - right, TALL - top - bottom
        scale = min(_MOST, wide / whole.wide, tall / whole.tall,
                    max(room / view.wide, TALL / view.tall))  # fmt: skip
        x, y = whole.middle
        return scale, (
            self._left + left + wide / 2 - x * scale, top + tall / 2 - y * scale
        )  # fmt: skip

    @cached_property
    def _near(self) -> Pen:
        """Draws in metres on this sheet."""
        pen, (scale, (x, y)) = self.pieces.pen, self._placed
        return Pen(pen.axis * scale + x, pen.datum * scale + y, pen.scale * scale, {})

    def _on_sheet(self, b: Box) -> Box:
        scale, (x, y) = self._placed
        return Box(b.left * scale + x, b.top * scale + y, b.right * scale + x, b.bottom * scale + y)

    @cached_property
    def _own(self) -> Mapping[PieceName, Piece]:
        return Pieces(self.pieces.pump, self._near).all if self.alone else {}

    def _put(self, parts: Collection[PieceName], cls: str, away: Point = (0.0, 0.0)) -> str:
        """Parts as they stand on the sheet; drawn for it, or pointed to and enlarged."""
        scale, (x, y) = self._placed
        dx, dy = away[0] * scale, away[1] * scale
        if self.alone:
            edge = Box(self._left, 0.0, WIDE, TALL)
            inside = [
                piece.markup for part, piece in self._own.items()
                if part in parts and piece.box.moved(dx, dy).touches(edge)
            ]  # fmt: skip
            return tag("g", *inside, cls=cls, transform=f"translate({num(dx)} {num(dy)})")
        inside = [_pointed(part) for part in self._all if part in parts]
        matrix = f"matrix({scale:.4g} 0 0 {scale:.4g} {num(x + dx)} {num(y + dy)})"
        return tag("g", *inside, cls=cls, transform=matrix)

    def _moved(self, part: PieceName) -> Point | None:
        """How far a part that is lit is drawn from its place on the sheet; none for others."""
        scale, _ = self._placed
        at = self._away[0] * scale, self._away[1] * scale
        return at if part in self.act.lit else None

    def _still(self, part: PieceName) -> Point | None:
        lit = part in self.act.lit
        return (0.0, 0.0) if part in self.act.shown and not lit else None

    def _go(self, *inside: str) -> str:
        """What travels with the part, where the page has a script for it."""
        return tag("g", *inside, cls="dw-go") if self._travels else "".join(inside)

    @property
    def _travels(self) -> bool:
        return bool(self.act.moving) and not self.alone

    def _journey(self) -> dict[str, str]:
        """From where the part is drawn to its place, and whether the act ends there."""
        if not self._travels:
            return {}
        scale, _ = self._placed
        go = {"data_go": f"{num(-self._away[0] * scale)} {num(-self._away[1] * scale)}"}
        return {**go, "data_back": ""} if self.back else go

    def _inside(self) -> str:
        act, made = self.act, self.made
        home, moved = self._on_sheet(self._box), self._on_sheet(self._box.moved(*self._away))
        frame = Box(self._left, 0.0, WIDE, TALL)
        tools = Tools(Setting(act, self._near, self.pieces.sizes, home, moved, frame, self.back))
        still = [p for p in act.shown if p not in act.lit]
        drawn = (
            tools.behind(),
            self._put(still, "dw-still"),
            self._put(act.moving, "dw-ghost") if not home.touches(moved) else "",
            line("dw-centre", home.middle, moved.middle) if act.moving else "",
            made.liquid(self._near, self.pieces.sizes) if made and made.liquid else "",
            marked(self.risks, self._near, self.pieces.sizes, shift=self._still),
            self._go(
                self._put(act.lit, "dw-lit", self._away),
                marked(self.risks, self._near, self.pieces.sizes, shift=self._moved),
            ),
            tools.front(),
            _ways(made, moved) if made else self._arrow(tools, moved),
        )
        if act.inverted:
            return tag("g", *drawn, transform=f"matrix(1 0 0 -1 0 {num(TALL)})")
        return "".join(drawn)

    def drawn(self, title: str) -> str:
        """The sheet."""
        room = WIDE - self._left
        inside = tag("svg", self._inside(), x=self._left, y=0.0, width=room, height=TALL,
                     viewBox=f"{num(self._left)} 0 {num(room)} {num(TALL)}",
                     **self._journey())  # fmt: skip
        ends = [
            from_the_end(key, 2.0, TALL - GLYPH * (len(self._ends) - number), turn=way)
            for number, (key, way) in enumerate(self._ends)
        ]
        say = saying(self.reader)
        said = [row for each in self.risks.lines for row in wrapped(say(each), 12, WIDE - 8)]
        return sheet(
            say(title), say(self._told()), "" if self.alone else self._inset(), inside, *ends,
            words(self._name(), WIDE / 2, TALL + 18, anchor="middle", cls="dw-text dw-big"),
            *(words(row, WIDE / 2, TALL + 20 + _ROW * (n + 1), anchor="middle")
              for n, row in enumerate(said)),
            height=TALL + _FOOT + _ROW * len(said), width=WIDE, cls="dw dw-act",
        )  # fmt: skip

    def _inset(self) -> str:
        """The whole pump as it stands, small, and what of it the picture shows."""
        there = [p for p in self._all if p in (*self.act.shown, *self.act.lit)]
        whole = _around(self._all, there)
        assert whole is not None
        near, (sx, sy) = self._placed
        tall = TALL - GLYPH * len(self._ends)
        scale = min((_INSET - 10) / whole.wide, (tall - 16) / whole.tall)
        x, y = whole.middle
        shift = (_INSET / 2 - 2 - x * scale, tall / 2 - y * scale)
        matrix = f"matrix({scale:.4g} 0 0 {scale:.4g} {num(shift[0])} {num(shift[1])})"
        if self.act.inverted:
            matrix = f"matrix({scale:.4g} 0 0 {-scale:.4g} {num(shift[0])} {num(tall - shift[1])})"
        lit = [_pointed(p) for p in there if p in self.act.lit]
        still = [_pointed(p) for p in there if p not in self.act.lit]
        left, right = (
            max((self._left - sx) / near, whole.left),
            min((WIDE - sx) / near, whole.right),
        )
        top, bottom = max(-sy / near, whole.top), min((TALL - sy) / near, whole.bottom)
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

    def _arrow(self, tools: Tools, moved: Box) -> str:
        act = self.act
        way = _BACK[act.way] if self.back else act.way
        drawn = ""
        x, y = moved.middle
        u, v = _STEP[way]
        if act.moving or not (act.turned or act.bolted):
            upright = way in ("up", "down")
            side = moved.right + 14 if upright else x
            level = y if upright else moved.top - 14
            half = 20.0
            tail, tip = (side - u * half, level - v * half), (side + u * half, level + v * half)
            drawn += straight(tail, tip, blows=act.struck and not act.turned)
        if act.turned:
            about: Way = act.way
            if about in ("left", "right") and not any(p in _ABOUT for p in act.lit):
                about = "up"
            drawn += turn(tools.turning() or moved, about, loosen=self.back == act.left_hand)
        for nut, across in tools.nuts():
            drawn += turn(nut, "right" if across else "up", loosen=not self.back)
        return drawn

    def _name(self) -> str:
        """What moves, named in one line under the picture."""
        say, room = saying(self.reader), WIDE - 8
        said = say(joined(", ", (PIECE_TITLES[p] for p in self.act.lit)))
        if text_width(said, 15) > room:
            said = say(Message("{part} and its parts", part=PIECE_TITLES[self.act.part]))
        return shortened(said, 15, room)

    def _told(self) -> Text:
        """The picture in words."""
        act, names = self.act, joined(", ", (PIECE_TITLES[p] for p in self.act.lit))
        sentence: Text = Message("{parts}.", parts=names)
        if act.moving:
            how = _TURNED if act.turned else _TAPPED if act.struck else _STRAIGHT
            way = _WAY_WORDS[_BACK[act.way] if self.back else act.way]
            sentence = (
                Message("{parts}: {how}, goes {way}.", parts=names, how=how, way=way) if self.back
                else Message("{parts}: {how}, comes away {way}.", parts=names, how=how, way=way)
            )  # fmt: skip
        elif act.turned or act.bolted:
            sentence = (
                Message("{parts}: tightened in place.", parts=names) if self.back
                else Message("{parts}: slackened in place.", parts=names)
            )  # fmt: skip
        risks = (Message("{line}.", line=each) for each in self.risks.lines)
        return joined(" ", (sentence, *risks))


def _pointed(part: PieceName) -> str:
    return tag("use", href=f"#act-{part}")


def _ways(made: Between, box: Box) -> str:
    """Straight arrows beside what an act is about, one a way."""
    drawn = ""
    for number, way in enumerate(made.arrows):
        u, v = _STEP[way]
        x, y = box.right + 14 + 16 * number, box.middle[1]
        if way == "down" and len(made.arrows) == 1:  # poured in from above
            x, y = box.middle[0] + 0.42 * box.wide, box.top - 14
        drawn += straight((x - 20 * u, y - 20 * v), (x + 20 * u, y + 20 * v), blows=False)
    return drawn
