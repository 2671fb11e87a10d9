"""Arrows of an act: straight ones with blows, and turns in the sense of a thread."""

from __future__ import annotations

import math

from wetend.drawings.acts.pieces import Box
from wetend.drawings.acts.state import Way
from wetend.drawings.svg import Point, area, line


def head(tip: Point, u: float, v: float, size: float = 9.0) -> str:
    """An arrow head that points along (u, v)."""
    x, y = tip
    return area("dw-accent", [
        (x, y), (x - size * u - 0.55 * size * v, y - size * v + 0.55 * size * u),
        (x - size * u + 0.55 * size * v, y - size * v - 0.55 * size * u),
    ])  # fmt: skip


def straight(tail: Point, tip: Point, *, blows: bool) -> str:
    """From tail to tip; ``blows`` are short strokes across: light blows, one after another."""
    long = math.hypot(tip[0] - tail[0], tip[1] - tail[1])
    u, v = (tip[0] - tail[0]) / long, (tip[1] - tail[1]) / long
    stop = (tip[0] - 7 * u, tip[1] - 7 * v)
    shaft = line("dw-accent-thick", tail, stop)
    if blows:
        marks = (tail[0] + 5 * u, tail[1] + 5 * v), (tail[0] + 11 * u, tail[1] + 11 * v)
        shaft += "".join(
            line("dw-accent-mid", (x - 6 * v, y + 6 * u), (x + 6 * v, y - 6 * u)) for x, y in marks
        )
    return shaft + head(tip, u, v)


def turn(around: Box, way: Way, *, loosen: bool) -> str:
    """A ring round the part's axis, its near half heavy, with the sense of a right-hand thread.

    Loosened, a thread turns anticlockwise for the user at the end it comes off by: the near
    side of a nut that comes off upwards goes to the right, of one that comes off downwards to the
    left, of one to the right down, of one to the left up.
    """
    x, y = around.middle
    across = way in ("left", "right")
    wide = max(0.5 * (around.tall if across else around.wide) + 12.0, 16.0)
    flat = 0.3 * wide
    far = -1.0 if way == "right" else 1.0
    # the near arc from its start to its end when loosened; an angle of 90 degrees is its middle
    turns = [math.radians(10.0 + 160.0 * i / 20) for i in range(21)]
    if not across:
        near = [(x - wide * math.cos(a), y + flat * math.sin(a)) for a in turns]
        back = [(x + wide * math.cos(a), y - flat * math.sin(a)) for a in turns]
        forwards = way == "up"
    else:
        near = [(x + far * flat * math.sin(a), y + wide * math.cos(a)) for a in turns]
        back = [(x - far * flat * math.sin(a), y - wide * math.cos(a)) for a in turns]
        forwards = way == "left"
    if forwards != loosen:
        near = near[::-1]
    (ax, ay), (bx, by) = near[-3], near[-1]
    long = math.hypot(bx - ax, by - ay) or 1.0
    u, v = (bx - ax) / long, (by - ay) / long
    return (
        line("dw-accent-line", *back) + line("dw-halo", *near[:-1])
        + line("dw-accent-thick", *near[:-1]) + head((bx + 5 * u, by + 5 * v), u, v, 11.0)
    )  # fmt: skip
