"""Instruments in plain outline, put where they measure and turned as they are held.

Each is drawn about the place it measures, which is its origin: x to the right, y down. A gap runs
along x. Shapes are those of common instruments (common practice, no source), not to scale.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from wetend.drawings.svg import Point, area, circle, line, strokes, words

_STEEL = "dw-steel dw-edge-thin"
_PAPER = "dw-paper-fill dw-edge-thin"


def arc(radius: float, start: float, end: float, steps: int = 14) -> list[Point]:
    """Points of an arc about the origin; degrees clockwise from the right, y down."""
    turns = [math.radians(start + (end - start) * i / steps) for i in range(steps + 1)]
    return [(radius * math.cos(a), radius * math.sin(a)) for a in turns]


@dataclass(frozen=True)
class At:
    """A place on the sheet, and how an instrument is turned there, in degrees clockwise."""

    x: float
    y: float
    turn: float = 0.0
    flip: bool = False
    """Whether it is held the other way round: up for down."""

    def on(self, *points: Point) -> list[Point]:
        """Points about the origin, put on the sheet."""
        a = math.radians(self.turn)
        c, s = math.cos(a), math.sin(a)
        w = -1.0 if self.flip else 1.0
        return [(self.x + u * c - w * v * s, self.y + u * s + w * v * c) for u, v in points]

    def area(self, cls: str, *points: Point) -> str:
        """A closed area."""
        return area(cls, self.on(*points))

    def line(self, cls: str, *points: Point) -> str:
        """An open line."""
        return line(cls, *self.on(*points))

    def box(self, cls: str, left: float, top: float, right: float, bottom: float) -> str:
        """A rectangle, turned with the rest."""
        return self.area(cls, (left, top), (right, top), (right, bottom), (left, bottom))

    def disc(self, cls: str, x: float, y: float, radius: float) -> str:
        """A circle."""
        return circle(cls, *self.on((x, y))[0], radius)

    def ticks(self, first: float, last: float, step: float, y: float, tall: float) -> str:
        """Graduations along x from a base line at ``y``."""
        found = []
        for i in range(int((last - first) / step) + 1):
            long = tall * (1.6 if i % 5 == 0 else 1.0)
            a, b = self.on((first + i * step, y), (first + i * step, y + long))
            found.append((a, b))
        return strokes("dw-fine", found)


def micrometer(at: At, gap: float, *, deep: float = 0.0) -> str:
    """An outside micrometer closed on ``gap``; its frame reaches down, ``deep`` at least."""
    left, right, low = -gap / 2, gap / 2, max(0.55 * gap, deep, 14.0)
    frame: list[Point] = [
        (left - 11, -5),
        (left - 4, -5),
        (left - 4, low - 3),
        (left + 4, low + 4),
        (right + 4, low + 4),
        (right + 10, low - 3),
        (right + 10, -6),
        (right + 20, -6),
        (right + 20, low + 2),
        (right + 9, low + 14),
        (left - 3, low + 14),
        (left - 11, low + 4),
    ]
    return (
        at.area(_STEEL, *frame)
        + at.box(_STEEL, left - 4, -2.5, left, 2.5)
        + at.box(_STEEL, right, -2.5, right + 10, 2.5)
        + at.box(_STEEL, right + 20, -4, right + 32, 4)
        + at.box(_STEEL, right + 32, -7, right + 52, 7)
        + at.box(_STEEL, right + 52, -4, right + 58, 4)
        + at.ticks(right + 36, right + 50, 3.5, -6, 4)
    )


def calliper(at: At, gap: float, *, reach: float = 26.0) -> str:
    """Outside jaws closed on ``gap``; the beam lies ``reach`` above."""
    left, right, beam = -gap / 2, gap / 2, -reach
    fixed: list[Point] = [
        (left, 4),
        (left - 4, 4),
        (left - 11, beam),
        (left - 11, beam - 12),
        (left, beam - 12),
    ]
    moving: list[Point] = [
        (right, 4),
        (right + 4, 4),
        (right + 11, beam),
        (right + 24, beam),
        (right + 24, beam - 15),
        (right, beam - 15),
    ]
    return (
        at.box(_STEEL, left, beam - 10, right + 56, beam - 1)
        + at.ticks(left + 2, right + 54, 3, beam - 10, 3)
        + at.area(_STEEL, *fixed)
        + at.area(_STEEL, *moving)
    )


def bore_gauge(at: At, gap: float, *, stem: float) -> str:
    """A two-point bore gauge across ``gap``, its stem and dial up."""
    half = gap / 2
    return (
        at.box(_STEEL, -3, -stem, 3, -6)
        + at.box(_STEEL, -half + 5, -6, half - 5, 6)
        + at.box(_STEEL, -half, -2.5, -half + 5, 2.5)
        + at.box(_STEEL, half - 5, -2.5, half, 2.5)
        + dial(At(*at.on((0.0, -stem - 13))[0]), 13)
    )


def dial(at: At, radius: float, *, needle: float = -60.0) -> str:
    """The face of a dial or gauge, needle in degrees clockwise from the right."""
    marks = [
        (a, b)
        for a, b in zip(arc(radius - 2, 130, 410, 10), arc(radius - 5, 130, 410, 10), strict=True)
    ]
    tip = arc(radius - 4, needle, needle, 1)[0]
    return (
        at.disc("dw-paper-fill dw-edge", 0, 0, radius)
        + strokes("dw-thin", [(at.on(a)[0], at.on(b)[0]) for a, b in marks])
        + at.line("dw-outline", (0, 0), tip)
        + at.disc("dw-ink-fill", 0, 0, 1.8)
    )


def dial_gauge(at: At, *, stem: float = 26.0) -> str:
    """A dial gauge, its tip at the origin, upright."""
    return (
        at.box(_STEEL, -1.5, -stem, 1.5, 0)
        + at.box(_STEEL, -4, -stem, 4, -stem + 10)
        + dial(At(*at.on((0.0, -stem - 12))[0]), 13)
    )


def depth_gauge(at: At, *, depth: float, wide: float) -> str:
    """A depth micrometer: its base lies on y = 0, its rod reaches down."""
    return (
        at.box(_STEEL, -wide / 2, -9, wide / 2, 0)
        + at.box(_STEEL, -2, 0, 2, depth)
        + at.box(_STEEL, -4, -24, 4, -9)
        + at.box(_STEEL, -7, -44, 7, -24)
        + at.ticks(-5, 5, 2.5, -42, 4)
    )


def straightedge(at: At, long: float) -> str:
    """A straightedge standing on y = 0, with light from behind where it does not lie."""
    half = long / 2
    rays = [((x, 2.0), (x - 3, 9.0)) for x in (-5.0, 0.0, 5.0)]
    return (
        at.area(_STEEL, (-half, 0), (half, 0), (half, -12), (-half, -12))
        + at.line("dw-fine", (-half, -4), (half, -4))
        + strokes("dw-thin", [(at.on(a)[0], at.on(b)[0]) for a, b in rays])
    )


def feeler(at: At, *, blade: float = 44.0) -> str:
    """A feeler's blade, its tip at the origin, the other blades fanned out behind."""
    fan = "".join(
        at.area(_PAPER, (blade, -2), (blade + 30, -4 - lean), (blade + 32, 3 - lean), (blade, 3))
        for lean in (14.0, 8.0, 2.0)
    )
    return at.box("dw-ink-fill", 0, -1, blade, 1) + fan + at.disc(_PAPER, blade, 0, 4)


def rule(at: At, long: float) -> str:
    """A rule, its zero at the origin, running along x."""
    return at.box(_PAPER, 0, 0, long, 13) + at.ticks(0, long, 4, 0, 4)


def fingernail(at: At) -> str:
    """A fingertip drawn across a mark, its nail at the origin."""
    finger: list[Point] = [(0, 0), (7, -13), (22, -30), (38, -24), (30, -8), (14, -2)]
    return at.area("dw-paper-fill dw-edge", *finger) + at.line(
        "dw-thin", (1, -1), (9, -6), (12, -15)
    )


def glass(at: At, radius: float = 14.0) -> str:
    """A magnifying glass over the origin."""
    return (
        at.disc("dw-outline", 0, 0, radius)
        + at.line(
            "dw-accent-none dw-outline",
            (0.72 * radius, 0.72 * radius),
            (1.7 * radius, 1.7 * radius),
        )
        + at.line("dw-outline", (0.9 * radius, 0.72 * radius), (1.8 * radius, 1.6 * radius))
    )


def watch(at: At, radius: float = 13.0) -> str:
    """A stop-watch."""
    return (
        at.box(_STEEL, -3, -radius - 6, 3, -radius)
        + at.disc("dw-paper-fill dw-edge", 0, 0, radius)
        + at.line("dw-outline", (0, 2), (0, 4 - radius))
        + at.line("dw-thin", (0, 0), (6, 3))
    )


def pail(at: At, *, wide: float = 44.0, tall: float = 40.0, full: float = 0.5) -> str:
    """A graduated pail standing on y = 0, filled to a share."""
    half, foot = wide / 2, 0.4 * wide
    level = -full * tall
    across = foot + (half - foot) * full
    marks = [
        ((foot - 2 + 2 * n, -tall * (n + 1) / 6), (foot - 9, -tall * (n + 1) / 6)) for n in range(5)
    ]
    return (
        at.area("dw-paper-fill", (-half, -tall), (half, -tall), (foot, 0), (-foot, 0))
        + at.area("dw-wash", (-across, level), (across, level), (foot, 0), (-foot, 0))
        + at.line("dw-thin", (-across, level), (across, level))
        + at.line("dw-outline", (-half, -tall), (-foot, 0), (foot, 0), (half, -tall))
        + strokes("dw-thin", [(at.on(a)[0], at.on(b)[0]) for a, b in marks])
    )


def ohmmeter(at: At) -> str:
    """An ohmmeter, the middle of its case at the origin."""
    x, y = at.on((0.0, -6.0))[0]
    return (
        at.box("dw-paper-fill dw-edge", -16, -22, 16, 22)
        + at.box("dw-thin", -12, -17, 12, -2)
        + words("Ω", x, y + 1, anchor="middle")
        + at.disc("dw-thin", 0, 9, 7)
        + at.line("dw-outline", (0, 9), (4, 4))
    )


def drops(at: At, count: int = 3) -> str:
    """Drops that fall from the origin."""
    return "".join(
        at.area("dw-ink-fill", (0, 12 * n), (2.6, 12 * n + 5), (0, 12 * n + 8), (-2.6, 12 * n + 5))
        for n in range(count)
    )


def eye(at: At) -> str:
    """An eye that looks to the left."""
    return at.area(
        "dw-paper-fill dw-edge", (-12, 0), (-5, -6), (5, -6), (12, 0), (5, 6), (-5, 6)
    ) + at.disc("dw-ink-fill", 0, 0, 3.4)


def both_ways(tips: Sequence[Point]) -> str:
    """A heavy line between two points, a head at each end: a direction measured."""
    (ax, ay), (bx, by) = tips
    long = math.hypot(bx - ax, by - ay) or 1.0
    u, v = (bx - ax) / long, (by - ay) / long
    size = min(7.0, 0.4 * long)

    def head(x: float, y: float, way: float) -> str:
        back = (x - way * size * u, y - way * size * v)
        return area(
            "dw-accent",
            [
                (x, y),
                (back[0] - 0.5 * size * v, back[1] + 0.5 * size * u),
                (back[0] + 0.5 * size * v, back[1] - 0.5 * size * u),
            ],
        )

    inner = (ax + size * u, ay + size * v), (bx - size * u, by - size * v)
    return line("dw-accent-mid", *inner) + head(bx, by, 1.0) + head(ax, ay, -1.0)


def turned(at: At, radius: float, start: float, end: float) -> str:
    """A round arrow about the origin: turn it in between."""
    ring = at.on(*arc(radius, start, end))
    (ax, ay), (bx, by) = ring[-2], ring[-1]
    long = math.hypot(bx - ax, by - ay)
    u, v = (bx - ax) / long, (by - ay) / long
    return line("dw-accent-mid", *ring) + area(
        "dw-accent",
        [
            (bx + 5 * u, by + 5 * v),
            (bx - 4 * u - 5 * v, by - 4 * v + 5 * u),
            (bx - 4 * u + 5 * v, by - 4 * v - 5 * u),
        ],
    )


def keep_off(*points: Point, side: int = 1) -> str:
    """A heavy line with ticks on one side: nothing hard touches this."""
    ticks: list[tuple[Point, Point]] = []
    for (ax, ay), (bx, by) in itertools.pairwise(points):
        long = math.hypot(bx - ax, by - ay)
        count = max(int(long / 7), 1)
        for n in range(count):
            x, y = ax + (bx - ax) * (n + 0.5) / count, ay + (by - ay) * (n + 0.5) / count
            u, v = (bx - ax) / (long or 1.0), (by - ay) / (long or 1.0)
            ticks.append(((x, y), (x + 5 * side * v + 2 * u, y - 5 * side * u + 2 * v)))
    return line("dw-risk", *points) + strokes("dw-tick", ticks)


def balloon(number: int, x: float, y: float) -> str:
    """A number in a ring, which the lines under the picture refer to."""
    return circle("dw-paper-fill dw-edge-thin", x, y, 9) + words(
        str(number), x, y + 4.3, cls="dw-text dw-strong", anchor="middle"
    )
