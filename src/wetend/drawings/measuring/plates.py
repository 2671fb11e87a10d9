"""A picture of measuring: plates one under another, each with numbered lines of what to do."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from wetend.drawings.measuring.tools import balloon, keep_off
from wetend.drawings.svg import WIDE, line, num, sheet, tag, words, wrapped
from wetend.drawings.words import Say, saying
from wetend.units.message import Words

SIZE = 13.0
"""Size of its text: 12 CSS pixels where a fold leaves it 303 of them."""
_ROW = 16.0
_INDENT = 24.0


@dataclass(frozen=True)
class Plate:
    """One instrument on one part."""

    fields: tuple[str, ...]
    """Fields of the measurement form that it shows how to fill."""
    title: str
    tall: float
    """Height of the drawing alone."""
    draw: Callable[[], str]
    """Draws it from the sheet's upper left corner."""
    notes: tuple[str, ...]
    """What its numbers stand for, the first is number 1."""
    never: str = ""
    """What is not to be touched, or not to be done; marked by a heavy line with ticks."""


def _note(number: int, text: str, y: float, say: Say) -> tuple[str, float]:
    rows = wrapped(say(text), SIZE, WIDE - _INDENT, most=6)
    mark = balloon(number, 10, y + 8) if number else keep_off((2, y + 8), (18, y + 8))
    said = "".join(
        words(row, _INDENT, y + 12 + _ROW * n, cls="dw-text" if number else "dw-text dw-strong")
        for n, row in enumerate(rows)
    )
    return mark + said, y + max(_ROW * len(rows), 17.0) + 5


def _one(plate: Plate, top: float, say: Say) -> tuple[str, float]:
    head = wrapped(say(plate.title), SIZE, WIDE, most=2)
    drawn = "".join(
        words(row, 0, top + 14 + _ROW * n, cls="dw-text dw-strong") for n, row in enumerate(head)
    )
    y = top + 4 + _ROW * len(head)
    drawn += tag("g", plate.draw(), transform=f"translate(0 {num(y)})")
    y += plate.tall + 4
    for number, text in enumerate(plate.notes, 1):
        piece, y = _note(number, text, y, say)
        drawn += piece
    if plate.never:
        piece, y = _note(0, plate.never, y, say)
        drawn += piece
    return drawn, y


def drawn(title: str, plates: Sequence[Plate], *, reader: Words) -> str:
    """All plates on one sheet."""
    say = saying(reader)
    inside, y = "", 0.0
    for number, plate in enumerate(plates):
        if number:
            inside += line("dw-rule", (0, y + 4), (WIDE, y + 4))
            y += 8
        piece, y = _one(plate, y, say)
        inside += piece
    text = " ".join(
        " ".join(
            (f"{say(p.title)}:", *(say(n) for n in p.notes), *((say(p.never),) if p.never else ()))
        )
        for p in plates
    )
    return sheet(say(title), text, inside, height=y + 2, cls="dw dw-measure")
