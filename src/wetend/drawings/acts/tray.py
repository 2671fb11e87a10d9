"""What has come off, laid out in the order it came, and what is still to come.

Parts laid in the order of the strip are put back from the other end; the row itself then shows what
was left out. Common practice, no source. Each lies as it stood in the pump, its upper end upwards,
so that nobody has to remember which way a ring faced.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import ceil

from wetend.drawings.acts.pieces import PIECE_TITLES, Box, PieceName, Pieces
from wetend.drawings.acts.state import Standing
from wetend.drawings.svg import box, circle, line, num, sheet, tag, words, wrapped
from wetend.drawings.words import AS_WRITTEN, saying
from wetend.pump.description import Pump
from wetend.pump.strip_graph import Operation
from wetend.units.message import Message, Words, joined

WIDE = 340.0
"""The sheet in units; on the narrowest phone a unit is a pixel."""
_ACROSS = 3
_CELL, _TALL, _NAMES = WIDE / 3, 82.0, 58.0
_MOST = 1.7
"""Most that a part is enlarged from the whole pump's drawing."""


@dataclass(frozen=True)
class Place:
    """One place of the tray."""

    number: int
    """In the order of the strip."""
    key: str
    """The operation whose parts lie there."""
    parts: tuple[PieceName, ...]
    """What lies there now; where nothing does, what is to come, or what went back."""
    there: bool
    """Whether they lie there."""
    following: bool
    """Whether the next step fills the place, or empties it."""

    @property
    def title(self) -> str:
        """Its parts by name."""
        return joined(", ", (PIECE_TITLES[p] for p in self.parts))

    def notes(self, pump: Pump) -> tuple[str, ...]:
        """Which way they faced."""
        return tuple(note for part in self.parts for note in _facing(pump, part))


def _facing(pump: Pump, part: PieceName) -> Iterator[str]:
    if part in ("static-packings", "moving-packings"):
        own = pump.static_packings if part == "static-packings" else pump.moving_packings
        yield Message("lips down") if own.lips_face == "down" else Message("lips up")
    if part in ("foot-seat", "piston-seat"):
        yield Message("ball's face up")


def _lying(pump: Pump, apart: Sequence[Operation]) -> Mapping[PieceName, str]:
    """By part, the operation that brought it away last."""
    where: dict[PieceName, str] = {}
    for number, operation in enumerate(apart):
        before = [o.key for o in apart[:number]]
        for part in Standing.after(pump, before).act(operation).moving:
            where[part] = operation.key
    return where


def places(
    pump: Pump, order: Sequence[Operation], apart: Collection[str], coming: Sequence[str] = ()
) -> tuple[Place, ...]:
    """The tray's places, in the order of the strip.

    Args:
        pump: as described.
        order: operations of its strip, in the order they are done.
        apart: keys of those that stand done, and not yet put back.
        coming: keys of operations still to come, either way; the first that has a place is next.
    """
    there = set(Pieces(pump).all)
    now = _lying(pump, [o for o in order if o.key in apart])
    last = _lying(pump, order)
    kept = {*now.values(), *last.values()}
    following = next((key for key in coming if key in kept), "")
    found = list[Place]()
    for operation in order:
        lies = tuple(p for p, key in now.items() if key == operation.key and p in there)
        ends = tuple(p for p, key in last.items() if key == operation.key and p in there)
        if lies or ends:
            found.append(Place(
                len(found) + 1, operation.key, lies or ends, bool(lies),
                operation.key == following,
            ))  # fmt: skip
    return tuple(found)


def _drawn(pieces: Pieces, parts: Collection[PieceName], room: Box, *, alone: bool) -> str:
    """Parts as they stand in the pump, in the middle of a room."""
    own = [(p, piece) for p, piece in pieces.all.items() if p in parts]
    whole = own[0][1].box
    for _, piece in own[1:]:
        whole = whole.around(piece.box)
    scale = min(room.wide / whole.wide, room.tall / whole.tall, _MOST)
    (x, y), (at_x, at_y) = whole.middle, room.middle
    matrix = f"matrix({scale:.4g} 0 0 {scale:.4g} {num(at_x - x * scale)} {num(at_y - y * scale)})"
    inside = [
        tag("g", piece.markup, cls="dw-piece") if alone else tag("use", href=f"#act-{part}")
        for part, piece in own
    ]
    return tag("g", *inside, transform=matrix)


def _upwards(x: float, y: float) -> str:
    """A small arrow: this end was up."""
    return line("dw-thin", (x, y + 12), (x, y)) + line(
        "dw-thin", (x - 3, y + 4), (x, y), (x + 3, y + 4)
    )


@dataclass(frozen=True)
class _Tray:
    pump: Pump
    pieces: Pieces
    reader: Words
    alone: bool

    def cell(self, place: Place) -> Iterator[str]:
        say = saying(self.reader)
        left = (place.number - 1) % _ACROSS * _CELL
        top = (place.number - 1) // _ACROSS * (_TALL + _NAMES)
        frame = "dw-accent-thick" if place.following else "dw-thin" if place.there else "dw-rule"
        yield box(f"{frame} dw-open", left + 2, top + 2, _CELL - 4, _TALL + _NAMES - 4)
        room = Box(left + 24, top + 6, left + _CELL - 18, top + _TALL - 2)
        shown = _drawn(self.pieces, place.parts, room, alone=self.alone)
        yield tag("g", shown, cls="dw-lying" if place.there else "dw-ghost")
        yield circle("dw-thin", left + 13, top + 14, 9)
        yield words(str(place.number), left + 13, top + 18, anchor="middle",
                    cls="dw-text dw-small dw-strong")  # fmt: skip
        if place.there:
            yield _upwards(left + _CELL - 10, top + 8)
        quiet = "" if place.there else " dw-quiet"
        rows = wrapped(say(place.title), 11, _CELL - 10, most=3)
        notes = wrapped(say(joined(", ", place.notes(self.pump))), 11, _CELL - 10, most=1)
        for row, text in enumerate((*rows, *(n for n in notes if n))):
            yield words(text, left + _CELL / 2, top + _TALL + 10 + 13 * row, anchor="middle",
                        cls=f"dw-text dw-small{quiet}")  # fmt: skip


def tray(
    pump: Pump, laid: Sequence[Place], *, pieces: Pieces | None = None, alone: bool = False,
    reader: Words = AS_WRITTEN,
) -> str:  # fmt: skip
    """The tray drawn; ``""`` where nothing is ever laid on it.

    Args:
        pump: as described.
        laid: its places.
        pieces: its parts, where they were drawn before.
        alone: whether the picture carries its parts, or points to those that stand on its page.
        reader: who reads its words.
    """
    if not laid:
        return ""
    say = saying(reader)
    drawn = _Tray(pump, pieces or Pieces(pump), reader, alone)
    on = joined("; ", (f"{p.number} {say(p.title)}" for p in laid if p.there))
    sentence = (
        Message("On the tray, in the order it came off: {parts}.", parts=on) if on
        else Message("Nothing lies on the tray.")
    )  # fmt: skip
    tall = ceil(len(laid) / _ACROSS) * (_TALL + _NAMES)
    return sheet(
        say(Message("The tray")), say(sentence),
        *(piece for place in laid for piece in drawn.cell(place)),
        height=tall + 2, width=WIDE, cls="dw dw-tray",
    )  # fmt: skip
