"""What balls and seats look like."""

from __future__ import annotations

import math

from wetend.advice.inspect.looks.look import Look
from wetend.drawings.looks.tile import MIDDLE, ROOM, bracket, magnified, ring_part, scale_of
from wetend.drawings.measuring.tools import arc
from wetend.drawings.svg import Point, area, circle, line, words
from wetend.pump.measurements import BallMeasured, SeatMeasured
from wetend.pump.parts import Valve
from wetend.units.message import Message

_BALL = 32.0
_X, _Y = MIDDLE, 48.0
_STEEL, _DARK = "dw-steel dw-edge", "dw-ink-fill"


def _oval(wide: float, tall: float, start: float = 0, end: float = 360) -> list[Point]:
    return [(_X + wide * u, _Y + tall * v) for u, v in arc(1.0, start, end, 40)]


def _band(drop: float, tall: float) -> str:
    """The dull band where the ball sits: two arcs round its front."""
    low = [(_X + 0.8 * _BALL * u, _Y + 10 + drop * v) for u, v in arc(1.0, 0, 180, 16)]
    over = [(x, y - tall) for x, y in low]
    return area("dw-soft-pale dw-edge-thin", [*low, *reversed(over)])


def ball(_valve: Valve, look: Look) -> tuple[str, str]:
    """A ball's drawing, and what is magnified in it."""
    assert isinstance(look.measured, BallMeasured)
    counted = Message("loss ×{times}", times=magnified(scale_of(look)))
    if look.key == "dents":
        spots = "".join(
            area(_DARK, [(_X + x + r * u, _Y + y + 0.7 * r * v) for u, v in arc(1.0, 0, 320, 7)])
            for x, y, r in ((-16, 15, 3.4), (-3, 18, 4.4), (9, 15, 2.6))
        )
        scar = line("dw-outline", (_X + 13, _Y + 9), (_X + 19, _Y + 14), (_X + 25, _Y + 13))
        return circle(_STEEL, _X, _Y, _BALL) + _band(8, 7) + spots + scar, ""
    if look.key == "cracked":
        crack = line(
            "dw-outline",
            (_X - 4, _Y - 31),
            (_X - 9, _Y - 14),
            (_X + 1, _Y - 4),
            (_X - 5, _Y + 9),
            (_X + 3, _Y + 20),
        )
        chip = area(
            "dw-paper-fill",
            [
                (_X + 20, _Y - 27),
                (_X + 13, _Y - 19),
                (_X + 20, _Y - 12),
                (_X + 33, _Y - 12),
                (_X + 31, _Y - 26),
            ],
        )
        edge = line(
            "dw-outline",
            (_X + 20, _Y - 25),
            (_X + 13, _Y - 19),
            (_X + 20, _Y - 12),
            (_X + 29.5, _Y - 13),
        )
        return circle(_STEEL, _X, _Y, _BALL) + crack + chip + edge, ""
    if look.key == "oval":
        loss = look.size * scale_of(look) / 2
        return (
            area(_STEEL, _oval(_BALL - loss, _BALL))
            + line("dw-sound", *_oval(_BALL, _BALL))
            + bracket((_X + _BALL - look.limit * scale_of(look) / 2, _Y), (_X + _BALL, _Y))
        ), Message("difference ×{times}", times=magnified(scale_of(look)))
    loss = look.size * scale_of(look) / 2
    worn = circle(_STEEL, _X, _Y, _BALL - loss)
    if look.key == "new":
        shine = line(
            "dw-thin",
            *[(_X + 0.72 * _BALL * u, _Y + 0.72 * _BALL * v) for u, v in arc(1.0, 195, 255, 8)],
        )
        return worn + shine, ""
    edge = line("dw-sound", *_oval(_BALL, _BALL))
    room = look.limit * scale_of(look) / 2
    at = bracket((_X + _BALL - room, _Y - 4), (_X + _BALL, _Y - 4))
    return worn + edge + _band(8, 5 if look.key == "worn" else 9) + at, counted


def _place(valve: Valve) -> tuple[float, float, float]:
    """Sheet units a metre, and the bore's and mouth's radii, for a stretch of the seat."""
    slope = math.sin(valve.seat_half_angle)
    room = max(valve.seat_width * slope, 0.4 * valve.band_limit * slope)
    scale = 40.0 / room
    bore = max(valve.seat_bore / 2 * scale, 70.0)
    return scale, bore, bore + 40.0


def _reach(mouth: float) -> tuple[float, float]:
    """Angles from which to which the stretch is drawn, so that it fits the tile."""
    half = math.degrees(math.asin(min(66.0 / (mouth + 14), 0.9)))
    return 270 - half, 270 + half


def seat(valve: Valve, look: Look) -> tuple[str, str]:
    """A stretch of the seat from above, and what is magnified in it."""
    assert isinstance(look.measured, SeatMeasured)
    scale, bore, mouth = _place(valve)
    slope = math.sin(valve.seat_half_angle)
    start, end = _reach(mouth)
    cy = 8 + mouth + 14
    middle = bore + 20.0

    def stretch(cls: str, inner: float, outer: float) -> str:
        return area(cls, ring_part(MIDDLE, cy, arc(inner, start, end), arc(outer, start, end)))

    def at(radius: float, degrees: float) -> Point:
        a = math.radians(degrees)
        return MIDDLE + radius * math.cos(a), cy + radius * math.sin(a)

    base = stretch("dw-steel dw-edge", mouth, mouth + 14) + stretch(
        "dw-paper-fill dw-edge-thin", bore, mouth
    )
    counted = Message("seat ×{times}", times=magnified(scale))
    if look.key == "off-centre":
        turns = [start + (end - start) * n / 20 for n in range(21)]
        widths = [2.5 + 26.0 * n / 20 for n in range(21)]
        inner = [at(middle + 8 - w, t) for w, t in zip(widths, turns, strict=True)]
        outer = [at(middle + 8, t) for t in turns]
        return base + area("dw-soft-pale dw-edge-thin", [*outer, *reversed(inner)]), counted
    limit = look.limit * scale * slope
    if look.key in ("new", "worn", "limit"):
        half = max(0.5 * look.size * scale * slope, 0.6)
        half = min(half, 19.0)
        ring = stretch("dw-soft-pale dw-edge-thin", middle - half, middle + half)
        room = min(limit, 38.0) / 2
        return (
            base + ring + bracket(at(middle - room, end - 6), at(middle + room, end - 6))
        ), counted
    wide = math.degrees(min((look.measured.chip_width or 0.0) * scale, 46.0) / middle)
    ring = stretch("dw-soft-pale dw-edge-thin", middle - 6, middle + 6)
    a, b = 270 - wide / 2, 270 + wide / 2
    if look.key == "chip":
        mark = area(
            _DARK,
            [
                at(mouth + 1, a),
                at(middle + 6, a + 0.18 * wide),
                at(middle - 9, 270 - 0.1 * wide),
                at(middle - 5, 270 + 0.22 * wide),
                at(middle + 9, b - 0.1 * wide),
                at(mouth + 1, b),
                at(mouth + 1, 270),
            ],
        )
    else:
        left = [at(bore + 40.0 * n / 8, a + 0.12 * wide * (-1) ** n) for n in range(9)]
        right = [at(bore + 40.0 * n / 8, b + 0.12 * wide * (-1) ** n) for n in range(9)]
        mark = area(_DARK, [*left, *reversed(right)])
    return base + ring + mark + _depth(look), counted


def _depth(look: Look) -> str:
    """The mark's depth beside its limit, as a small section at the foot of the tile."""
    scale = scale_of(look)
    x, y = 22.0, ROOM - 26.0
    deep = min(look.size * scale, 24.0)
    cut = [(x - 18, y), (x - 8, y), (x, y + deep), (x + 8, y), (x + 18, y)]
    return (
        area("dw-steel dw-edge-thin", [*cut, (x + 18, ROOM), (x - 18, ROOM)])
        + bracket((x + 24, y), (x + 24, y + look.limit * scale))
        + words(f"×{magnified(scale)}", x + 32, y + 12)
    )
