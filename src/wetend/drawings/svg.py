"""A small SVG builder: numbers rounded, text escaped.

Drawings are laid out for a phone: the view box is 328 units wide, the width of the column on a
360 px screen, so that one unit is about one CSS pixel there and text of size 12 reads as 12 px.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from html import escape

WIDE = 328.0
"""Width of a full-column drawing in its own units."""
ADVANCE = 0.61
"""Widest mean advance of a character, in type sizes, of the faces drawings are set in."""

Point = tuple[float, float]

_NOT_XML = re.compile(r"[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def num(value: float) -> str:
    """A coordinate to a hundredth of a unit, without idle zeros.

    Raises:
        ValueError: not an ordinary number; a drawing never holds one.

    >>> num(12.0), num(0.126), num(-0.001)
    ('12', '0.13', '0')
    """
    if not math.isfinite(value):
        raise ValueError(f"a coordinate must be an ordinary number, not {value}")
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def escaped(text: str) -> str:
    """People's text as character data; signs that XML 1.0 has no place for become U+FFFD."""
    return escape(_NOT_XML.sub("\ufffd", text), quote=True)


def tag(name: str, *inside: str, cls: str = "", **attributes: float | str) -> str:
    """One element. ``inside`` is markup already built here; attributes are escaped."""
    held = [f' class="{escaped(cls)}"'] if cls else []
    for key, value in attributes.items():
        shown = escaped(value) if isinstance(value, str) else num(value)
        held.append(f' {key.rstrip("_").replace("_", "-")}="{shown}"')
    opening = f"<{name}{''.join(held)}"
    return f"{opening}>{''.join(inside)}</{name}>" if inside else f"{opening}/>"


def group(cls: str, *inside: str, **attributes: float | str) -> str:
    """Elements that belong together; nothing if there are none."""
    return tag("g", *inside, cls=cls, **attributes) if any(inside) else ""


def words(text: str, x: float, y: float, *, cls: str = "dw-text", anchor: str = "start") -> str:
    """A line of text with its base line at ``y``."""
    return tag("text", escaped(text), cls=cls, x=x, y=y, text_anchor=anchor)


def line(cls: str, *points: Point) -> str:
    """An open line through the points."""
    return tag("path", cls=cls, d="M" + "L".join(f"{num(x)} {num(y)}" for x, y in points))


def area(cls: str, *rings: Sequence[Point]) -> str:
    """A closed area; further rings cut holes."""
    drawn = "".join(
        "M" + "L".join(f"{num(x)} {num(y)}" for x, y in ring) + "Z" for ring in rings if ring
    )
    return tag("path", cls=cls, d=drawn, fill_rule="evenodd")


def strokes(cls: str, segments: Iterable[tuple[Point, Point]]) -> str:
    """Many short lines as one element, to a tenth of a unit; nothing if there are none."""
    drawn = "".join(
        f"M{num(round(a, 1))} {num(round(b, 1))}l{num(round(c - a, 1))} {num(round(d - b, 1))}"
        for (a, b), (c, d) in segments
    )
    return tag("path", cls=cls, d=drawn) if drawn else ""


def circle(cls: str, x: float, y: float, radius: float) -> str:
    """A circle about a point."""
    return tag("circle", cls=cls, cx=x, cy=y, r=radius)


def box(cls: str, x: float, y: float, width: float, height: float) -> str:
    """An upright rectangle from its upper left corner; never of negative size."""
    return tag("rect", cls=cls, x=x, y=y, width=max(width, 0.0), height=max(height, 0.0))


def sheet(
    title: str, desc: str, *inside: str, height: float, width: float = WIDE, cls: str = "dw"
) -> str:
    """A whole drawing, named and described for those who can't see it."""
    return tag(
        "svg", tag("title", escaped(title) or " "), tag("desc", escaped(desc) or " "), *inside,
        cls=cls, xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {num(width)} {num(height)}", width="100%", role="img",
    )  # fmt: skip


def text_width(text: str, size: float) -> float:
    """The most room a line of text takes."""
    return ADVANCE * size * len(text)


def shortened(text: str, size: float, room: float) -> str:
    """Text cut to the room there is, with an ellipsis where cut.

    >>> shortened("North quay", 10, 100), shortened("North quay", 10, 40)
    ('North quay', 'North…')
    """
    most = max(int(room / (ADVANCE * size)), 1)
    plain = " ".join(text.split())
    return plain if len(plain) <= most else plain[: max(most - 1, 0)].rstrip() + "…"


def wrapped(text: str, size: float, room: float, *, most: int = 2) -> list[str]:
    """Text broken at spaces into lines that fit; the last one is cut if there are too many."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= room:
            lines[-1] += f" {word}"
        elif len(lines) < most:
            lines.append(word)
        else:
            lines[-1] += f" {word}"
    return [shortened(each, size, room) for each in lines] or [""]
