"""What rods and cylinders look like."""

from __future__ import annotations

from wetend.advice.inspect.looks.look import Look
from wetend.drawings.hatching import hatch
from wetend.drawings.looks.tile import MIDDLE, WIDE, bracket, magnified, scale_of
from wetend.drawings.measuring.tools import arc
from wetend.drawings.svg import Point, area, box, circle, line, strokes
from wetend.pump.description import Pump
from wetend.units.message import Message

_LOW, _HIGH = 22.0, 62.0
"""Between which a rod's or bore's two edges are drawn when new."""


def _strip(top: float, low: float, left: float = 4.0, right: float = WIDE - 4) -> str:
    """A stretch of a rod, broken off at both ends."""
    wave = [(0.0, 0.0), (3.0, 0.25), (0.0, 0.5), (-3.0, 0.75), (0.0, 1.0)]
    a = [(left + x, top + y * (low - top)) for x, y in wave]
    b = [(right + x, top + y * (low - top)) for x, y in wave]
    return (
        area("dw-steel", [*a, *reversed(b)])
        + line("dw-outline", a[0], b[0])
        + line("dw-outline", a[-1], b[-1])
        + line("dw-thin", *a)
        + line("dw-thin", *b)
    )


def _depth(look: Look, x: float = 96.0) -> str:
    """A mark's section beside its limit, under the part."""
    scale, y = scale_of(look), 72.0
    deep = min(look.size * scale, 22.0)
    return area(
        "dw-steel dw-edge-thin",
        [
            (x - 34, y),
            (x - 8, y),
            (x, y + deep),
            (x + 8, y),
            (x + 34, y),
            (x + 34, 96),
            (x - 34, 96),
        ],
    ) + bracket((x + 40, y), (x + 40, y + look.limit * scale))


def _ends(top: float) -> str:
    """The bruised end of a rod, its thread burred over."""
    end = 118.0
    burr: list[Point] = [
        (end, top - 1),
        (end + 5, top - 6),
        (end + 1, top + 7),
        (end + 7, top + 13),
        (end, top + 20),
        (end + 6, top + 29),
        (end - 1, top + 33),
        (end + 3, top + 43),
        (end - 8, top + 41),
    ]
    thread = [((end - 30 + 5 * n, top + 2), (end - 30 + 5 * n, top + 38)) for n in range(6)]
    return (
        area("dw-steel", [(4, top), (end, top), (end, top + 40), (4, top + 40)])
        + line("dw-outline", (4, top), (end - 6, top))
        + line("dw-outline", (4, top + 40), (end - 8, top + 40))
        + strokes("dw-thin", thread)
        + area("dw-steel dw-edge", burr)
    )


def _flakes(top: float) -> str:
    patch: list[Point] = [
        (48, top + 8),
        (62, top + 4),
        (80, top + 9),
        (96, top + 6),
        (100, top + 20),
        (88, top + 24),
        (92, top + 33),
        (72, top + 30),
        (60, top + 35),
        (54, top + 22),
    ]
    more: list[Point] = [(112, top + 26), (120, top + 22), (126, top + 30), (117, top + 34)]
    lines = hatch(patch, spacing=3.5)
    return (
        area("dw-soft-pale dw-edge-thin", patch)
        + strokes("dw-hatch", lines)
        + area("dw-soft-pale dw-edge-thin", more)
    )


def rod(_pump: Pump, look: Look) -> tuple[str, str]:
    """A stretch of the rod, and what is magnified in it."""
    scale = scale_of(look)
    depth = Message("depth ×{times}", times=magnified(scale)) if scale else ""
    mid = (_LOW + _HIGH) / 2
    if look.key == "bruised":
        return _ends(_LOW), ""
    if look.key == "chrome":
        return _strip(_LOW, _HIGH) + _flakes(_LOW), ""
    low, high = _LOW - 14, _HIGH - 14
    if look.key == "dent":
        dent = [(62 + 9 * u, low + 16 + 5 * v) for u, v in arc(1.0, 0, 330, 11)]
        return (
            _strip(low, high)
            + area("dw-ink-fill", dent)
            + line("dw-thin", *[(62 + 13 * u, low + 16 + 8 * v) for u, v in arc(1.0, 150, 260, 8)])
            + _depth(look)
        ), depth
    if look.key in ("scratch", "outside"):
        left = 30 if look.key == "scratch" else 14
        lines = [
            ((left, low + 15), (left + 66, low + 17)),
            ((left + 14, low + 19), (left + 58, low + 20)),
        ]
        packed = (
            line("dw-halo", (90, low - 3), (90, high + 3))
            + line("dw-hidden", (90, low - 3), (90, high + 3))
            if look.key == "outside"
            else ""
        )
        return _strip(low, high) + strokes("dw-outline", lines) + packed + _depth(look), depth
    loss = look.size * scale / 2
    worn = [((40, mid - 12 + 6 * n), (112, mid - 12 + 6 * n)) for n in range(5)]
    if look.key == "new":
        return _strip(_LOW, _HIGH) + line("dw-thin", (16, _LOW + 9), (120, _LOW + 9)), ""
    room = look.limit * scale / 2
    shape: list[Point] = [
        (4, _LOW),
        (28, _LOW),
        (42, _LOW + loss),
        (108, _LOW + loss),
        (122, _LOW),
        (146, _LOW),
        (146, _HIGH),
        (122, _HIGH),
        (108, _HIGH - loss),
        (42, _HIGH - loss),
        (28, _HIGH),
        (4, _HIGH),
    ]
    return (
        area("dw-steel dw-edge", shape)
        + strokes("dw-fine", worn)
        + line("dw-sound", (28, _LOW), (122, _LOW))
        + line("dw-sound", (28, _HIGH), (122, _HIGH))
        + bracket((75, _LOW), (75, _LOW + room))
    ), Message("loss ×{times}", times=magnified(scale))


def _bore(grown: float, low: float = _LOW, high: float = _HIGH, wall: float = 14.0) -> str:
    """A cylinder cut through, its bore wider where the piston runs."""
    upper: list[Point] = [
        (4, low - wall),
        (146, low - wall),
        (146, low),
        (122, low),
        (108, low - grown),
        (42, low - grown),
        (28, low),
        (4, low),
    ]
    lower = [(x, low + high - y) for x, y in upper]
    lines = [s for ring in (upper, lower) for s in hatch(ring, spacing=4)]
    return (
        box("dw-paper-fill", 4, low, 142, high - low)
        + area("dw-metal dw-edge", upper, lower)
        + strokes("dw-hatch", lines)
    )


def cylinder(_pump: Pump, look: Look) -> tuple[str, str]:
    """A stretch of the bore, and what is magnified in it."""
    scale = scale_of(look)
    mid = (_LOW + _HIGH) / 2
    if look.key == "oval":
        out = look.size * scale / 2
        x, y, r = MIDDLE, 48.0, 28.0
        turns = arc(1.0, 0, 360, 40)
        return (
            circle("dw-metal dw-edge", x, y, 46)
            + area("dw-paper-fill dw-edge", [(x + (r + out) * u, y + r * v) for u, v in turns])
            + line("dw-sound", *[(x + r * u, y + r * v) for u, v in turns])
            + bracket((x + r, y), (x + r + look.limit * scale / 2, y))
        ), Message("difference ×{times}", times=magnified(scale))
    if look.key == "score":
        mid = 33.0
        lines = [
            ((14, mid - 6), (136, mid - 5)),
            ((30, mid), (120, mid + 1)),
            ((22, mid + 5), (88, mid + 6)),
        ]
        return _bore(0, 18.0, 48.0, 10.0) + strokes("dw-outline", lines) + _depth(look), Message(
            "depth ×{times}", times=magnified(scale)
        )
    if look.key == "round":
        rings = [((x, _LOW + 1), (x, _HIGH - 1)) for x in (70.0, 75.0, 79.0)]
        return _bore(0) + strokes("dw-outline", rings), ""
    if look.key == "new":
        honed = [
            s
            for rising in (True, False)
            for s in hatch(
                [(6, _LOW + 2), (144, _LOW + 2), (144, _HIGH - 2), (6, _HIGH - 2)],
                spacing=9,
                rising=rising,
            )
        ]
        return _bore(0) + strokes("dw-fine", honed), ""
    grown, room = look.size * scale / 2, look.limit * scale / 2
    worn = [((42, mid - 12 + 6 * n), (108, mid - 12 + 6 * n)) for n in range(5)]
    return (
        _bore(grown)
        + strokes("dw-fine", worn)
        + line("dw-sound", (28, _LOW), (122, _LOW))
        + line("dw-sound", (28, _HIGH), (122, _HIGH))
        + bracket((75, _LOW - room), (75, _LOW))
    ), Message("growth ×{times}", times=magnified(scale))
