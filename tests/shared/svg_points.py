"""Reads a picture of measuring back: its points where they stand, its texts where they end."""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree import ElementTree

from wetend.drawings.svg import text_width

NS = "{http://www.w3.org/2000/svg}"
_PATH = re.compile(r"([MLl])(-?[\d.]+) (-?[\d.]+)")
_MOVE = re.compile(r"translate\((-?[\d.]+) (-?[\d.]+)\)")
Spot = tuple[float, float]


def _path(drawn: str) -> Iterator[Spot]:
    x = y = 0.0
    for command, a, b in _PATH.findall(drawn):
        x, y = (x + float(a), y + float(b)) if command == "l" else (float(a), float(b))
        yield x, y


def points(element: ElementTree.Element, dx: float = 0.0, dy: float = 0.0) -> Iterator[Spot]:
    """Every point drawn, and both ends of every line of text."""
    move = _MOVE.match(element.get("transform", ""))
    if move:
        dx, dy = dx + float(move[1]), dy + float(move[2])
    get = element.get
    if element.tag == f"{NS}path":
        yield from ((x + dx, y + dy) for x, y in _path(get("d", "")))
    elif element.tag == f"{NS}circle":
        x, y, r = (float(get(k, "0")) for k in ("cx", "cy", "r"))
        yield from ((x + dx - r, y + dy - r), (x + dx + r, y + dy + r))
    elif element.tag == f"{NS}rect":
        x, y, w, h = (float(get(k, "0")) for k in ("x", "y", "width", "height"))
        yield from ((x + dx, y + dy), (x + dx + w, y + dy + h))
    elif element.tag == f"{NS}text":
        x, y, room = float(get("x", "0")), float(get("y", "0")), text_width(element.text or "", 13)
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[get("text-anchor", "start")] * room
        yield from ((left + dx, y + dy - 9), (left + dx + room, y + dy))
    for child in element:
        yield from points(child, dx, dy)


def off_sheet(svg: str, slack: float = 1.5) -> list[Spot]:
    """Points that lie off the sheet."""
    root = ElementTree.fromstring(svg)
    wide, high = (float(n) for n in root.attrib["viewBox"].split()[2:])
    return [
        (x, y) for x, y in points(root)
        if not (-slack <= x <= wide + slack and -slack <= y <= high + slack)
    ]  # fmt: skip
