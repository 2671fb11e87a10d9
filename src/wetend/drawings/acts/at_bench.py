"""Steps of a rebuild about the whole pump: cleaned, laid out, greased; looked over at the end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wetend.drawings.acts.pieces import PIECE_TITLES, Box, Piece, PieceName, Pieces
from wetend.drawings.measuring import plates, scheme
from wetend.drawings.measuring.plates import Plate
from wetend.drawings.measuring.scheme import Spot
from wetend.drawings.pen import Pen
from wetend.drawings.svg import WIDE, area, line, num, sheet, tag, words, wrapped
from wetend.drawings.words import saying
from wetend.units.message import Message, Words, joined

_BIG: tuple[PieceName, ...] = ("cylinder", "body", "rod", "foot-housing", "piston", "gland-nut")
_SMALL: tuple[PieceName, ...] = (
    "cage", "soft-ring", "shim", "clamp-ring", "piston-nut", "moving-packings", "static-packings",
)  # fmt: skip
_BARE: tuple[PieceName, ...] = ("foot-seat", "foot-ball", "piston-seat", "piston-ball")
"""Parts laid out on the cloth, those of a row to one scale; the last stay dry."""
DRY: frozenset[PieceName] = frozenset(_BARE)
"""What is not greased: nothing may stand between ball and seat when solvent tries them."""
_SIZE, _ROW, _GAP = 13.0, 16.0, 10.0
"""Size and rows of the text; room between parts."""


def _drop(x: float, y: float, *, dry: bool) -> str:
    """A drop of grease; struck through where there is to be none."""
    shape = [(x, y - 7), (x + 4, y), (x + 3, y + 4), (x, y + 5.5), (x - 3, y + 4), (x - 4, y)]
    if not dry:
        return area("dw-ink-fill", shape)
    return area("dw-paper-fill dw-edge-thin", shape) + line(
        "dw-risk", (x - 7, y + 5), (x + 7, y - 6)
    )


@dataclass(frozen=True)
class _Cell:
    """One part on the cloth, with room for its drop beside it."""

    part: PieceName
    box: Box
    """Of the part, in the drawing it is taken from."""
    scale: float

    @property
    def wide(self) -> float:
        return self.box.wide * self.scale + 20

    @property
    def tall(self) -> float:
        return self.box.tall * self.scale


def _cells(
    pieces: Mapping[PieceName, Piece], parts: tuple[PieceName, ...], room: float, high: float
) -> list[_Cell]:
    """Parts of one scale, none wider or taller than there is room for."""
    there = [pieces[p].box for p in parts if p in pieces]
    if not there:
        return []
    scale = min(room / max(b.wide for b in there), high / max(b.tall for b in there))
    return [_Cell(p, pieces[p].box, scale) for p in parts if p in pieces]


def _rows(cells: list[_Cell]) -> Iterator[list[_Cell]]:
    """As many side by side as there is room for."""
    row: list[_Cell] = []
    for cell in cells:
        if row and sum(c.wide for c in row) + cell.wide > WIDE:
            yield row
            row = []
        row.append(cell)
    if row:
        yield row


def _put(cell: _Cell, pieces: Pieces, x: float, y: float, *, alone: bool) -> str:
    """A part with its middle at ``x``, standing on ``y``."""
    s, box = cell.scale, cell.box
    dx, dy = x - box.middle[0] * s, y - box.bottom * s
    if not alone:
        matrix = f"matrix({s:.4g} 0 0 {s:.4g} {num(dx)} {num(dy)})"
        return tag("g", tag("use", href=f"#act-{cell.part}"), transform=matrix)
    pen = pieces.pen
    own = Pieces(pieces.pump, Pen(pen.axis * s, pen.datum * s, pen.scale * s, {}))
    return tag("g", own.all[cell.part].markup, transform=f"translate({num(dx)} {num(dy)})")


def clean(pieces: Pieces, title: str, *, reader: Words, alone: bool) -> str:
    """Parts on a clean cloth, each with its film of grease or dry."""
    say, drawn, y = saying(reader), "", 2.0
    greased = Message("Film of grease: threads, lands, rings, chrome")
    dry = Message("Clean and dry: balls and seats")
    for text, lots in (
        (greased, ((_BIG, 70.0, 76.0), (_SMALL, 64.0, 44.0))), (dry, ((_BARE, 64.0, 44.0),))
    ):  # fmt: skip
        drawn += _drop(9, y + 10, dry=text is dry)
        for row in wrapped(say(text), _SIZE, WIDE - 24):
            drawn += words(row, 22, y + 14, cls="dw-text dw-strong")
            y += _ROW
        y += 6
        for parts, room, high in lots:
            for cells in _rows(_cells(pieces.all, parts, room, high)):
                y += max(c.tall for c in cells)
                drawn += _row(cells, pieces, y, alone=alone)
                y += _GAP
    there = [p for p in (*_BIG, *_SMALL) if p in pieces.all]
    told = Message(
        "Laid out on a clean cloth. Film of grease: {greased}. Dry: {dry}.",
        greased=joined(", ", (PIECE_TITLES[p] for p in there)),
        dry=joined(", ", (PIECE_TITLES[p] for p in _BARE if p in pieces.all)),
    )
    return sheet(say(title), say(told), drawn, height=y, width=WIDE, cls="dw dw-measure")


def _row(cells: list[_Cell], pieces: Pieces, y: float, *, alone: bool) -> str:
    """Parts side by side, standing on ``y``."""
    gap = (WIDE - sum(c.wide for c in cells)) / (len(cells) + 1)
    drawn, x = "", gap
    for cell in cells:
        middle = x + (cell.wide - 20) / 2
        drawn += _put(cell, pieces, middle, y, alone=alone)
        drawn += _drop(x + cell.wide - 9, y - 8, dry=cell.part in DRY)
        x += cell.wide + gap
    return drawn


_LOOKED: tuple[tuple[Spot, str], ...] = (
    ("drive", Message("Drive still off and locked.")),
    ("rod", Message("Nothing left between rod and frame: tools and rags counted.")),
    ("guard", Message("Guards back on, the nozzle's too.")),
    ("gun", Message("Trigger locked.")),
    ("dump", Message("Dump valve open, its hose in a bonded metal pail.")),
    ("earth", Message("Earth and bonds back on.")),
)
"""What is looked over before any pressure: common practice, no source."""


def look_over(pieces: Pieces, title: str, *, reader: Words, alone: bool) -> str:  # noqa: ARG001
    """The pump put together, and what is looked at before any pressure."""
    spots = {n: spot for n, (spot, _) in enumerate(_LOOKED, 1)}
    plate = Plate(
        (), Message("Before any pressure"), scheme.TALL,
        lambda: scheme.scheme() + scheme.marked(spots), tuple(note for _, note in _LOOKED),
    )  # fmt: skip
    return plates.drawn(title, (plate,), reader=reader)


AT_BENCH = {"clean": clean, "look-over": look_over}
"""By how the step's key begins."""
