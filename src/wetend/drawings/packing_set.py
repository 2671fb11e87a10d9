"""Section of a set of V-rings: lip direction, pressure side, height."""

from __future__ import annotations

from typing import Literal

from wetend.drawings.pen import Pen, band
from wetend.drawings.svg import Point, area, line, sheet, words
from wetend.drawings.v_rings import packings
from wetend.drawings.words import AS_WRITTEN, saying
from wetend.pump.description import Pump
from wetend.pump.parts import PartName
from wetend.units.message import Message, Words
from wetend.units.quantity import M
from wetend.units.show import fine_length

_TALL = 104.0
"""Height of the set as drawn."""
_TOP = 54.0
_AXIS = 110.0
_WIDEST = 82.0


_TITLES: dict[tuple[str, bool], str] = {
    ("moving-packings", True): Message("Moving packings: lips upwards"),
    ("moving-packings", False): Message("Moving packings: lips downwards"),
    ("static-packings", True): Message("Static packings: lips upwards"),
    ("static-packings", False): Message("Static packings: lips downwards"),
}


def _described(rings: int, height: M, least: M, *, up: bool) -> Message:
    said = {"rings": rings, "height": fine_length(height), "least": fine_length(least)}
    if up:
        return Message(
            "{rings} V-rings, lips upwards, to the pressure; {height} high free, at least {least}",
            **said,
        )
    return Message(
        "{rings} V-rings, lips downwards, to the pressure; {height} high free, at least {least}",
        **said,
    )


def section(
    pump: Pump, part: Literal["static-packings", "moving-packings"], *, reader: Words = AS_WRITTEN
) -> str:
    """The static set round the rod, or the moving set on the piston, cut through."""
    say = saying(reader)
    moving = part == "moving-packings"
    noun = pump.moving_packings if moving else pump.static_packings
    outer = pump.cylinder.bore / 2 if moving else pump.rod.diameter / 2 + _thick(pump)
    inner = outer - _thick(pump) if moving else pump.rod.diameter / 2
    scale = min(_TALL / noun.height, _WIDEST / (1.25 * outer))
    tall = noun.height * scale
    pen = Pen(_AXIS, _TOP + tall, scale, {})
    up = noun.lips_face == "up"
    name = (
        Message("Moving packings, {rings} V-rings", rings=noun.rings)
        if moving
        else Message("Static packings, {rings} V-rings", rings=noun.rings)
    )
    least = fine_length(noun.free_height_limit)
    return sheet(
        say(_TITLES[part, up]),
        say(_described(noun.rings, noun.height, noun.free_height_limit, up=up)),
        words(say(name), 8, 18, cls="dw-strong"),
        _round(pen, inner, outer, noun.height, part),
        packings(pen, part, inner=inner, outer=outer, low=0.0, high=noun.height, rings=noun.rings,
                 lips=noun.lips_face),
        _pressure(pen, outer, tall, say(Message("pressure")), up=up),
        _height(_AXIS + 1.3 * outer * scale, tall,
                (say(fine_length(noun.height)), say(Message("least {height}", height=least)))),
        height=_TOP + tall + 42,
    )  # fmt: skip


def _thick(pump: Pump) -> M:
    """Radial room of a set, as drawn: a fifth of the rod."""
    return 0.2 * pump.rod.diameter


def _round(pen: Pen, inner: M, outer: M, height: M, part: PartName) -> str:
    """Rod or piston inside the set, cylinder or body outside."""
    more = 0.16 * height
    inside = pen.ring(band(inner, -more, height + more))
    wall = band(1.22 * outer, -more, height + more, outer)
    core = area("dw-steel dw-edge", inside)
    x, top = pen.at(0, height + 2.2 * more)
    low = pen.at(0, -2.2 * more)[1]
    outside: PartName = "cylinder" if part == "moving-packings" else "body"
    return core + pen.turned(outside, wall) + line("dw-centre", (x, top), (x, low))


def _arrow(tip: Point, tail: Point) -> str:
    way = 1 if tail[1] > tip[1] else -1
    head = [tip, (tip[0] - 4, tip[1] + 9 * way), (tip[0] + 4, tip[1] + 9 * way)]
    return line("dw-accent-line", tail, tip) + area("dw-accent", head)


def _pressure(pen: Pen, outer: M, tall: float, label: str, *, up: bool) -> str:
    """Where the pressure comes from: the side that the lips face."""
    x = pen.at(outer, 0)[0] - 6
    beside = pen.at(1.22 * outer, 0)[0] + 4
    edge = pen.datum - tall if up else pen.datum
    tip, tail = (edge - 3, edge - 22) if up else (edge + 3, edge + 22)
    y = edge - 10 if up else edge + 20
    return (
        _arrow((x, tip), (x, tail))
        + _arrow((2 * pen.axis - x, tip), (2 * pen.axis - x, tail))
        + words(label, beside, y, cls="dw-accent-text dw-strong")
    )


def _height(x: float, tall: float, texts: tuple[str, str]) -> str:
    """The set's height as a dimension (ISO 129-1)."""
    x = max(x + 14, 186.0)
    strokes = "".join(
        line("dw-thin", (x - 2.6, y + 2.6), (x + 2.6, y - 2.6))
        + line("dw-fine", (x - 12, y), (x + 3.5, y))
        for y in (_TOP, _TOP + tall)
    )
    middle = _TOP + tall / 2
    return (
        line("dw-thin", (x, _TOP), (x, _TOP + tall))
        + strokes
        + words(texts[0], x + 8, middle)
        + words(texts[1], x + 8, middle + 15, cls="dw-small dw-quiet")
    )
