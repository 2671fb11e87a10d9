"""A small picture of one look: its drawing, and how much what counts in it is magnified."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from wetend.advice.inspect.looks.look import Look
from wetend.advice.reasons import Verdict
from wetend.drawings.svg import Point, line, sheet, words
from wetend.drawings.words import saying, word
from wetend.units.message import Message, Words

WIDE, TALL = 150.0, 118.0
"""The sheet; the lowest line says the magnification."""
MIDDLE = WIDE / 2
ROOM = 96.0
"""Height for the drawing."""
_CSS_PIXEL = 0.0254 / 96
"""Of true size a sheet unit is, in metres: CSS Values and Units (from memory)."""
SEEN = 13.0
"""How large a limit is drawn, in sheet units."""


def magnified(scale: float) -> int:
    """How many times true size a drawing of so many sheet units a metre is.

    >>> magnified(SEEN / 60e-6)
    57
    """
    times = scale * _CSS_PIXEL
    digits = max(0, math.floor(math.log10(times)) - 1) if times > 0 else 0
    return max(int(round(times, -digits)), 1)


def scale_of(look: Look) -> float:
    """Sheet units a metre, so that the look's limit is seen."""
    return SEEN / look.limit if look.limit > 0 else 0.0


def tile(part: str, title: str, verdict: Verdict, inside: str, counted: str, reader: Words) -> str:
    """One tile.

    Args:
        part: what it is of.
        title: what it looks like.
        verdict: on what looks so.
        inside: the drawing.
        counted: what is magnified and how much, a line; blank: nothing is measured in it.
        reader: who reads it.
    """
    say = saying(reader)
    text = Message("{part}. {look}: {verdict}.", part=part, look=title, verdict=word(verdict))
    line_ = words(say(counted), MIDDLE, TALL - 5, anchor="middle") if counted else ""
    rest = f" {say(counted)}." if counted else ""
    return sheet(say(title), say(text) + rest, inside, line_, height=TALL, width=WIDE,
                 cls="dw dw-look")  # fmt: skip


def bracket(a: Point, b: Point) -> str:
    """Where the limit lies: two short strokes with a thin line between them."""
    long = math.dist(a, b) or 1.0
    u, v = (b[0] - a[0]) / long, (b[1] - a[1]) / long
    ends = [line("dw-outline", (x - 4 * v, y + 4 * u), (x + 4 * v, y - 4 * u)) for x, y in (a, b)]
    return "".join(ends) + line("dw-thin", a, b)


def ring_part(x: float, y: float, inner: Sequence[Point], outer: Sequence[Point]) -> list[Point]:
    """The area between two arcs about a point."""
    return [(x + u, y + v) for u, v in itertools.chain(outer, reversed(inner))]
