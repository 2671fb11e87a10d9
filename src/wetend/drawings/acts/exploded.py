"""The wet end taken apart along its axis, every part named, counted and numbered.

Parts stand in the order in which they lie along the pump, each clear of the next, so that what goes
into what can be read off the axis: W. Li, M. Agrawala, B. Curless and D. Salesin, "Automated
generation of interactive 3D exploded view diagrams", ACM Transactions on Graphics 27 (2008) 101
(from memory): an exploded view follows from which part blocks which.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from wetend.drawings.acts.pieces import PIECE_TITLES, Box, Piece, PieceName, Pieces
from wetend.drawings.pen import Pen
from wetend.drawings.svg import circle, line, num, sheet, tag, words, wrapped
from wetend.drawings.words import AS_WRITTEN, Say, saying
from wetend.pump.description import Pump
from wetend.pump.parts import Packings
from wetend.units.message import Message, Words, joined, plural

WIDE = 340.0
"""The sheet in units; on the narrowest phone a unit is a pixel."""
_AXIS, _TEXT = 100.0, 200.0
_GAP, _LEAST = 11.0, 34.0
_ROW, _FIRST = 15.0, 20.0
"""Room of a further line of a label, and of its first."""

ORDER: tuple[tuple[PieceName, ...], ...] = (
    ("drive",), ("coupling",), ("wet-cup",), ("gland-nut",), ("static-packings",),
    ("body", "outlet-filter"), ("rod",), ("piston",), ("moving-packings",), ("piston-ball",),
    ("piston-seat",), ("piston-nut",),
    ("cylinder",), ("shim",), ("cage",), ("soft-ring",), ("foot-ball",),
    ("foot-seat",), ("foot-housing",), ("clamp-ring",), ("suction-elbow", "strainer"),
)  # fmt: skip
"""From the drive down; parts of one row stand side by side as they do in the pump."""


@dataclass(frozen=True)
class Named:
    """One part of the view: its number, name, and what is said of it."""

    number: int
    part: PieceName
    title: str
    notes: tuple[str, ...]


def _packings(packings: Packings) -> tuple[str, ...]:
    lips = Message("lips down") if packings.lips_face == "down" else Message("lips up")
    return plural("{n} V-ring", "{n} V-rings", packings.rings), lips


def _notes(pump: Pump, part: PieceName) -> tuple[str, ...]:
    """How many there are, and which way they face."""
    kinds = {"soft-ring": "soft-ring", "shim": "shim", "foot-seat": "seat", "cage": "cage"}
    if part in ("static-packings", "moving-packings"):
        return _packings(pump.static_packings if part == "static-packings"
                         else pump.moving_packings)  # fmt: skip
    if part == "shim":
        return (Message("as computed, on the cage"),)
    if part in kinds:
        count = sum(p.kind == kinds[part] for p in pump.stack.parts)
        return (Message("{count} of them", count=count),) if count > 1 else ()
    if part in ("foot-seat", "piston-seat"):
        return (Message("good face to the ball"),)
    return ()


def named(pump: Pump) -> tuple[Named, ...]:
    """All parts that the view shows, numbered from the drive down."""
    there = Pieces(pump).all
    parts = [part for row in ORDER for part in row if part in there]
    return tuple(
        Named(n, part, PIECE_TITLES[part], _notes(pump, part)) for n, part in enumerate(parts, 1)
    )


def _rows(pieces: Mapping[PieceName, Piece]) -> Iterator[tuple[tuple[PieceName, ...], Box]]:
    for row in ORDER:
        there = tuple(part for part in row if part in pieces)
        if there:
            box = pieces[there[0]].box
            for part in there[1:]:
                box = box.around(pieces[part].box)
            yield there, box


def exploded(pump: Pump, *, reader: Words = AS_WRITTEN) -> str:
    """The view as SVG, to the scale of the pump, in its reader's words."""
    say = saying(reader)
    rough = Pieces(pump)
    s, pen = rough.sizes, rough.pen
    widest = max(p.box.right - pen.axis for p in rough.all.values())
    reach = max(pen.axis - p.box.left for p in rough.all.values())
    grown = min((_TEXT - _AXIS - 14) / widest, (_AXIS - 6) / reach, 2.4)
    drawn = Pieces(pump, Pen(_AXIS, s.high * pen.scale * grown, pen.scale * grown, {})).all
    at, inside, labels = 8.0, list[str](), list[str]()
    numbers = {n.part: _said(n, say) for n in named(pump)}
    for row, box in _rows(drawn):
        said = [numbers[part] for part in row]
        room = sum(_tall(n) for n in said)
        tall = max(box.tall, room, _LEAST - _GAP)
        shift = at + (tall - box.tall) / 2 - box.top
        for part in row:
            inside.append(tag("g", drawn[part].markup, transform=f"translate(0 {num(shift)})"))
        y = at + (tall - room) / 2 + 14
        for n in said:
            own = drawn[n.part].box.moved(0, shift)
            labels.append(_label(n, own, y))
            y += _tall(n)
        at += tall + _GAP
    axis = line("dw-centre", (_AXIS, 4), (_AXIS, at - _GAP))
    names = joined(", ", (f"{n.number} {n.title}" for n in numbers.values()))
    return sheet(
        say(Message("{pump} taken apart", pump=pump.name)),
        say(Message("From the drive down: {parts}.", parts=names)), axis, *inside, *labels,
        height=at, width=WIDE, cls="dw dw-act",
    )  # fmt: skip


def _said(n: Named, say: Say) -> Named:
    return replace(n, title=say(n.title), notes=tuple(map(say, n.notes)))


def _title(n: Named) -> list[str]:
    return wrapped(n.title, 13, WIDE - _TEXT - 12)


def _lines(n: Named) -> list[str]:
    return [line for note in n.notes for line in wrapped(note, 12, WIDE - _TEXT - 12)]


def _tall(n: Named) -> float:
    return _FIRST + _ROW * (len(_title(n)) - 1 + len(_lines(n)))


def _label(n: Named, own: Box, y: float) -> str:
    """Number in a ring, name and notes."""
    x, at = _TEXT, _TEXT + 11
    tip = (min(own.right, x - 16), (own.top + own.bottom) / 2)
    ring = circle("dw-thin", x - 2, y - 4, 8.5) + words(
        str(n.number), x - 2, y, anchor="middle", cls="dw-text dw-small"
    )
    title, rest = _title(n), _lines(n)
    shown = "".join(
        words(each, at, y + i * _ROW, cls="dw-text dw-strong") for i, each in enumerate(title)
    )
    notes = [
        words(each, at, y + (len(title) + i) * _ROW, cls="dw-text dw-small dw-quiet")
        for i, each in enumerate(rest)
    ]
    return line("dw-leader", (x - 11, y - 4), tip) + ring + shown + "".join(notes)
