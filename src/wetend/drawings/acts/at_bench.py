"""Steps of a rebuild about the whole pump: cleaned, laid out, greased; looked over at the end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from wetend.drawings.acts.pieces import PIECE_TITLES, Box, Piece, PieceName, Pieces
from wetend.drawings.measuring import plates, scheme
from wetend.drawings.measuring.plates import Plate
from wetend.drawings.measuring.scheme import Spot
from wetend.drawings.pen import Pen
from wetend.drawings.svg import WIDE, area, line, num, sheet, tag, text_width, words, wrapped
from wetend.drawings.told import Say, saying
from wetend.units.message import Message, Words, joined

_BIG: tuple[PieceName, ...] = ("cylinder", "body", "rod", "foot-housing")
_SMALL: tuple[PieceName, ...] = (
    "foot-seat", "foot-ball", "cage", "soft-ring", "shim", "clamp-ring", "piston-seat",
    "piston-ball", "piston", "piston-nut", "moving-packings", "static-packings", "gland-nut",
)  # fmt: skip
"""Parts laid out on the cloth, those of a row to one scale."""
DRY: frozenset[PieceName] = frozenset({"foot-ball", "foot-seat", "piston-ball", "piston-seat"})
"""What is not greased: nothing may stand between ball and seat when solvent tries them."""
_TALL, _ROOM, _ROW = 84.0, 100.0, 14.0
_NAME = 12.0


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
    part: PieceName
    box: Box
    """Of the part, in the drawing it is taken from."""
    scale: float
    names: tuple[str, ...]

    @property
    def wide(self) -> float:
        named = max(text_width(name, _NAME) for name in self.names)
        return max(self.box.wide * self.scale + 22, named) + 8

    @property
    def tall(self) -> float:
        return self.box.tall * self.scale + _ROW * len(self.names) + 12


def _cells(
    pieces: Mapping[PieceName, Piece], parts: tuple[PieceName, ...], say: Say
) -> Iterator[_Cell]:
    there = [p for p in parts if p in pieces]
    if not there:
        return
    widest = max(pieces[p].box.wide for p in there)
    tallest = max(pieces[p].box.tall for p in there)
    scale = min(_ROOM / widest, _TALL / tallest)
    for part in there:
        names = wrapped(say(PIECE_TITLES[part]), _NAME, 96, most=2)
        yield _Cell(part, pieces[part].box, scale, tuple(names))


def _rows(cells: list[_Cell]) -> Iterator[list[_Cell]]:
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
    say, drawn, y = saying(reader), "", 6.0
    for parts in (_BIG, _SMALL):
        for row in _rows(list(_cells(pieces.all, parts, say))):
            high = max(c.box.tall * c.scale for c in row)
            gap = (WIDE - sum(c.wide for c in row)) / (len(row) + 1)
            x = gap
            for cell in row:
                middle = x + cell.wide / 2
                drawn += _put(cell, pieces, middle, y + high, alone=alone)
                edge = middle + cell.box.wide * cell.scale / 2 + 8
                drawn += _drop(edge, y + high - 8, dry=cell.part in DRY)
                for n, name in enumerate(cell.names):
                    drawn += words(name, middle, y + high + 15 + _ROW * n, anchor="middle")
                x += cell.wide + gap
            y += max(c.tall for c in row) + high - max(c.box.tall * c.scale for c in row) + 8
    key = (
        (False, Message("film of grease on threads, lands, rings and chrome")),
        (True, Message("clean and dry, no grease")),
    )
    for dry, text in key:
        drawn += _drop(10, y + 8, dry=dry)
        for line_ in wrapped(say(text), _NAME, WIDE - 24):
            drawn += words(line_, 22, y + 12)
            y += _ROW
        y += 6
    names = joined(", ", (PIECE_TITLES[p] for p in (*_BIG, *_SMALL)
                          if p in pieces.all and p not in DRY))  # fmt: skip
    dry_names = joined(", ", (PIECE_TITLES[p] for p in _SMALL if p in pieces.all and p in DRY))
    told = Message("Laid out on a clean cloth. Film of grease: {greased}. Dry: {dry}.",
                   greased=names, dry=dry_names)  # fmt: skip
    return sheet(say(title), say(told), drawn, height=y + 4, width=WIDE, cls="dw dw-act")


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
