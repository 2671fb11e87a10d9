"""The wet end in section, to scale from the pump's description, its parts named."""

from __future__ import annotations

import math
from collections.abc import Mapping

from wetend.advice.reasons import Verdict
from wetend.drawings.labels import Label, column
from wetend.drawings.pen import Pen
from wetend.drawings.svg import (
    WIDE,
    Point,
    area,
    box,
    line,
    sheet,
    shortened,
    words,
    wrapped,
)
from wetend.drawings.wet_end import parts
from wetend.drawings.wet_end.sizes import Sizes, sizes
from wetend.drawings.words import AS_WRITTEN, Say, saying, word
from wetend.pump.description import Pump
from wetend.pump.measurements import PART_TITLES
from wetend.pump.parts import PartName
from wetend.units.message import Message, Words, joined

_CORE = 126.0
_TALL = 640.0
_TOP = 10.0
_TEXT = 89.0
_ROOM = 88.0
_LEFT: frozenset[PartName] = frozenset({
    "wet-cup", "static-packings", "body", "cylinder", "moving-packings", "piston-seat", "shim",
    "cage", "foot-seat", "suction-elbow", "outlet-filter",
})  # fmt: skip
"""Parts whose labels stand at the left; all others stand at the right."""


_SAID: dict[PartName, str] = {
    "drive": Message("to the drive"), "outlet-filter": Message("to outlet filter"),
    "strainer": Message("from strainer"),
}  # fmt: skip
"""How parts that stand beyond the edge of the section are named."""


_RINGS: dict[str, PartName] = {
    "cage": "cage", "soft-ring": "soft-ring", "shim": "shim", "seat": "foot-seat",
}  # fmt: skip
"""Which part a kind of ring in the stack is."""


def _places(s: Sizes) -> dict[PartName, Point]:
    """Where each drawn part's leader ends: radius and height, on the right of the axis."""
    b, p, c, f = s.body, s.piston, s.cylinder, s.foot
    places: dict[PartName, Point] = {
        "drive": (0.4 * b.rod, 0.5 * (b.coupling_top + s.high)),
        "outlet-filter": (b.port_reach, b.port_z),
        "coupling": (0.7 * b.coupling, (b.coupling_top + b.break_high) / 2),
        "rod": (0.5 * b.rod, (b.cup_top + b.break_low) / 2),
        "wet-cup": (b.cup - 0.07 * b.rod, b.head_top + 0.7 * (b.cup_top - b.head_top)),
        "gland-nut": (0.75 * b.head + 0.25 * b.rod, b.head_top - 0.35 * b.rod),
        "static-packings": (0.5 * (b.rod + b.box), 0.5 * (b.box_low + b.box_high)),
        "body": (0.5 * (c.bore + b.outer), b.throat - 0.1 * c.bore),
        "cylinder": (0.5 * (c.bore + c.outer), 0.5 * (p.top + c.high)),
        "piston": (0.5 * (p.passage + p.neck), 0.5 * (p.port_high + p.top)),
        "moving-packings": (0.5 * (p.core + c.bore), 0.5 * (p.nut + p.packed)),
        "piston-ball": (0.4 * p.ball, p.seat_low + p.resting.centre + 0.3 * p.ball),
        "piston-seat": (0.5 * (p.resting.bore + p.chamber), p.seat_low + 0.3 * p.seat_height),
        "foot-housing": (0.5 * (f.pocket + (f.tube if f.clamped else f.outer)), 0.12 * f.top),
        "suction-elbow": (f.inlet + 0.5 * f.wall, -f.floor - 1.6 * f.wall),
        "strainer": (1.7 * f.bend, -f.floor - f.wall - f.bend),
    }
    if f.clamped:
        places["clamp-ring"] = (0.5 * (f.thread + f.outer), f.top)
    for ring in f.rings:
        part = _RINGS.get(ring.kind)
        if part and part not in places:
            places[part] = (0.5 * (ring.outer + ring.inner), 0.5 * (ring.low + ring.high))
    if f.resting:
        places["foot-ball"] = (0.4 * f.ball, f.ball_z + 0.3 * f.ball)
    return places


def _label(part: PartName, point: Point, verdict: Verdict | None, say: Say) -> Label:
    lines = wrapped(say(_SAID.get(part, PART_TITLES[part])), 12, _ROOM)
    label = wrapped(say(word(verdict)), 12, _ROOM - 20) if verdict else []
    return Label((*lines, *label), point, verdict, beside=len(label))


def _labels(pen: Pen, s: Sizes, say: Say) -> tuple[list[Label], list[Label]]:
    """Labels of the left and of the right column."""
    left: list[Label] = []
    right: list[Label] = []
    for part, (radius, height) in _places(s).items():
        side = -1 if part in _LEFT else 1
        label = _label(part, pen.at(side * radius, height), pen.marked.get(part), say)
        (left if part in _LEFT else right).append(label)
    return left, right


def fitted(s: Sizes) -> tuple[float, float]:
    """Units a metre at which a wet end fits its sheet, and where its axis then stands."""
    scale = min(_CORE / (s.left + s.right), _TALL / (s.high - s.low))
    return scale, WIDE / 2 + (s.left - s.right) * scale / 2


def _pen(s: Sizes, marked: Mapping[PartName, Verdict], say: Say) -> tuple[Pen, float]:
    """The pen that fits the section to its sheet, and the y of the sheet's lower end.

    Where the labels take more room than the section, the section stands half-way up.
    """
    scale, axis = fitted(s)
    tall = (s.high - s.low) * scale + 2 * _TOP
    columns = _labels(Pen(axis, 0.0, scale, marked), s, say)
    room = max(tall, *(sum(label.height for label in each) + 4 for each in columns))
    return Pen(axis, (room - tall) / 2 + _TOP + s.high * scale, scale, marked), room


def _scale_bar(x: float, y: float, scale: float, reader: Words) -> str:
    unit, name = (0.001, "mm") if reader.system == "metric" else (0.0254, "in")
    most = 80 / (scale * unit)
    power = 10.0 ** math.floor(math.log10(most))
    size = next(m * power for m in (5, 2, 1) if m * power <= most)
    wide = size * unit * scale
    return (
        box("dw-ink-fill", x, y - 3, wide / 2, 4) + box("dw-thin", x, y - 3, wide, 4)
        + words(f"{size:g} {name}", x + wide + 7, y + 3, cls="dw-text dw-small")
    )  # fmt: skip


def _arrow(pen: Pen, tip: Point, tail: Point) -> str:
    """Which way the coating goes."""
    (x1, y1), (x2, y2) = pen.at(*tail), pen.at(*tip)
    long = math.hypot(x2 - x1, y2 - y1) or 1.0
    u, v = (x2 - x1) / long, (y2 - y1) / long
    head = [(x2, y2), (x2 - 6 * u - 3 * v, y2 - 6 * v + 3 * u),
            (x2 - 6 * u + 3 * v, y2 - 6 * v - 3 * u)]  # fmt: skip
    return line("dw-accent-line", (x1, y1), (x2 - 4 * u, y2 - 4 * v)) + area("dw-accent", head)


def _flow(pen: Pen, s: Sizes) -> str:
    f, b = s.foot, s.body
    level = -f.floor - f.wall - f.bend
    return _arrow(pen, (0.75 * f.bend, level), (1.6 * f.bend, level)) + _arrow(
        pen, (-b.port_reach + 0.05 * b.outer, b.port_z), (-0.82 * b.outer, b.port_z)
    )


def section(
    pump: Pump,
    marked: Mapping[PartName, Verdict] | None = None,
    *,
    reader: Words = AS_WRITTEN,
) -> str:
    """The wet end cut through its axis, at rest, the piston at mid-stroke.

    Args:
        pump: whose wet end.
        marked: verdicts to show; each is a shape, a word and a tone at the part's name.
        reader: whose language it is in, and the units of the scale bar.
    """
    marked, say = marked or {}, saying(reader)
    s = sizes(pump)
    pen, room = _pen(s, marked, say)
    left, right = _labels(pen, s, say)
    foot = room + 14
    return sheet(
        say(Message("Wet end of {pump} in section", pump=pump.name)), say(_described(s, marked)),
        parts.coating(pen, s), parts.elbow(pen, s), *parts.housing(pen, s).values(),
        *parts.stack(pen, s).values(), parts.cylinder(pen, s), parts.body(pen, s),
        *parts.gland(pen, s).values(), parts.static_packings(pen, pump, s),
        *parts.piston(pen, pump, s).values(), parts.rod(pen, s),
        parts.drive(pen, s), parts.coupling(pen, s),
        line("dw-centre", pen.at(0, s.high), pen.at(0, -s.foot.floor - s.foot.wall - s.foot.bend)),
        _flow(pen, s),
        column(left, text_x=_TEXT, shelf_x=_TEXT + 8, low=0, high=room),
        column(right, text_x=WIDE - _TEXT, shelf_x=WIDE - _TEXT - 8, low=0, high=room),
        line("dw-rule", (4, foot - 14), (WIDE - 4, foot - 14)),
        _scale_bar(6, foot + 3, pen.scale, reader),
        words(shortened(say(Message("{pump}, at rest", pump=pump.name)), 11, 170), WIDE - 4,
              foot + 6, anchor="end", cls="dw-text dw-small dw-quiet"),
        height=foot + 16,
    )  # fmt: skip


def _described(s: Sizes, marked: Mapping[PartName, Verdict]) -> Message:
    names = joined(", ", (PART_TITLES[p] for p in _places(s)))
    if not marked:
        return Message("From drive to suction, to scale: {parts}. Nothing marked.", parts=names)
    worn = joined("; ", (
        Message("{part}: {verdict}", part=PART_TITLES[p], verdict=word(v))
        for p, v in marked.items()
    ))  # fmt: skip
    return Message("From drive to suction, to scale: {parts}. {worn}.", parts=names, worn=worn)
