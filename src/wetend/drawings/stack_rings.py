"""Rings of the seal stack laid one on another and drawn in section."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from wetend.advice.rebuild.fit import StackLayer
from wetend.drawings.ball_seat import Resting, rest
from wetend.drawings.hatching import hatch
from wetend.drawings.svg import Point, area, circle, line, strokes
from wetend.pump.description import Pump
from wetend.units.quantity import M


@dataclass(frozen=True)
class Frame:
    """Where a stack stands on its sheet and how much room it has."""

    axis: float
    side: float
    """Room to either side of the axis."""
    top: float
    tall: float
    least: float = 1.0
    """Shrinks the least height a thin ring is drawn with."""


@dataclass(frozen=True)
class Ring:
    """One layer with its place on the sheet: y of its lower and upper face, radii in units."""

    layer: StackLayer
    low: float
    high: float
    outer: float
    inner: float

    @property
    def middle(self) -> float:
        """Half-way up, as y."""
        return (self.low + self.high) / 2

    @property
    def profile(self) -> list[Point]:
        """Its section to the right of the axis."""
        return [(self.inner, self.low), (self.inner, self.high), (self.outer, self.high),
                (self.outer, self.low)]  # fmt: skip


@dataclass(frozen=True)
class Ball:
    """The foot-valve ball on its seat, in units of the sheet."""

    radius: float
    centre: float
    lift: float
    seat: Resting

    @property
    def stop(self) -> float:
        """Where the cage stops it, as y."""
        return self.centre - self.radius - self.lift


def scale_of(layers: Sequence[StackLayer], frame: Frame) -> float:
    """Units to a metre, so that the stack fits its frame."""
    outer = max((layer.outside / 2 for layer in layers), default=1e-3)
    tall = sum(layer.height for layer in layers)
    return min(frame.side / max(outer, 1e-6), frame.tall / max(tall, 1e-6))


def rings_of(layers: Sequence[StackLayer], frame: Frame, scale: float) -> list[Ring]:
    """Every layer placed, from the floor up; thin rings thicker than they are."""
    least = {"shim": 7.0, "soft-ring": 10.0, "spacer": 8.0}
    heights = [max(each.height * scale, frame.least * least.get(each.kind, 20.0))
               for each in layers]  # fmt: skip
    y = frame.top + sum(heights)
    rings = []
    for layer, height in zip(layers, heights, strict=True):
        outer = min(max(layer.outside / 2 * scale, 8.0 * frame.least), frame.side)
        inner = min(max(layer.inside / 2 * scale, 3.0 * frame.least), outer * 0.88)
        rings.append(Ring(layer, y, y - height, outer, inner))
        y -= height
    return rings


def ball_of(rings: Sequence[Ring], lift: M, scale: float, pump: Pump | None) -> Ball | None:
    """The ball on its seat; ``None`` where the stack has no seat or no cage.

    Without ``pump`` the ball fills its cage, on a seat of 45 degrees.
    """
    seat = next((r for r in rings if r.layer.kind == "seat"), None)
    cage = next((r for r in rings if r.layer.kind == "cage"), None)
    if seat is None or cage is None:
        return None
    valve = pump.foot_valve if pump else None
    radius = valve.ball_diameter / 2 * scale if valve else 0.92 * cage.inner
    radius = min(radius, 0.96 * cage.inner)
    resting = rest(
        ball=radius, bore=seat.inner, half_angle=valve.seat_half_angle if valve else math.pi / 4,
        width=valve.seat_width * scale if valve else 0.3 * radius, height=seat.low - seat.high,
        widest=seat.outer,
    )  # fmt: skip
    drawn = min(max(lift * scale, 0.3 * radius / 2), radius) if lift > 0 else 0.0
    return Ball(radius, seat.low - resting.centre, drawn, resting)


def laid_out(
    layers: Sequence[StackLayer], frame: Frame, lift: M, pump: Pump | None
) -> tuple[Frame, list[Ring], Ball | None]:
    """Rings and ball placed, the frame moved down where the ball stands out above the rings."""
    scale = scale_of(layers, frame)
    rings = rings_of(layers, frame, scale)
    ball = ball_of(rings, lift, scale, pump)
    if ball is None or ball.stop >= frame.top - 14:
        return frame, rings, ball
    lower = replace(frame, top=2 * frame.top - 14 - ball.stop)
    rings = rings_of(layers, lower, scale)
    return lower, rings, ball_of(rings, lift, scale, pump)


def _halves(frame: Frame, points: Sequence[Point]) -> tuple[list[Point], list[Point]]:
    return [(frame.axis + r, y) for r, y in points], [(frame.axis - r, y) for r, y in points]


def _cut(frame: Frame, points: Sequence[Point], *, rising: bool, fill: str = "dw-steel") -> str:
    both = _halves(frame, points)
    lines = [s for half in both for s in hatch(half, spacing=3.6, rising=rising)]
    return area(f"{fill} dw-edge", *both) + strokes("dw-hatch", lines)


def _plain(frame: Frame, ring: Ring) -> str:
    if ring.layer.kind == "shim":
        inset = [(r, y + (0.6 if y < ring.low else -0.6)) for r, y in ring.profile]
        return area("dw-ink-fill", *_halves(frame, inset))
    if ring.layer.kind == "soft-ring":
        both = _halves(frame, ring.profile)
        return area("dw-soft dw-edge", *both)
    return _cut(frame, ring.profile, rising=False)


def _seat(frame: Frame, ring: Ring, seat: Resting) -> str:
    points = [(seat.bore, ring.low), (seat.bore, ring.high + seat.cone), (seat.mouth, ring.high),
              (ring.outer, ring.high), (ring.outer, ring.low)]  # fmt: skip
    return _cut(frame, points, rising=True)


def _cage(frame: Frame, ring: Ring, stop: float) -> str:
    """Fingers cut through at both sides, the stop between them, its ribs behind."""
    stop = min(max(stop, ring.high + 4), ring.low)
    boss = 0.46 * ring.inner
    crown, nose = (
        [(frame.axis - r, ring.high), (frame.axis + r, ring.high), (frame.axis + r, stop),
         (frame.axis - r, stop)]
        for r in (ring.inner, boss)
    )  # fmt: skip
    return (
        area("dw-metal dw-edge-thin", crown) + area("dw-steel dw-edge", nose)
        + strokes("dw-hatch", hatch(nose, spacing=3.6, rising=False))
        + _cut(frame, ring.profile, rising=False)
    )  # fmt: skip


def draw(frame: Frame, rings: Sequence[Ring], ball: Ball | None) -> str:
    """Rings in section, and the ball on its seat and, in phantom line, at its stop."""
    drawn = []
    for ring in rings:
        if ball and ring.layer.kind == "seat":
            drawn.append(_seat(frame, ring, ball.seat))
        elif ball and ring.layer.kind == "cage":
            drawn.append(_cage(frame, ring, ball.stop))
        else:
            drawn.append(_plain(frame, ring))
    if ball:
        x, reach = frame.axis, ball.radius + 5
        drawn += [
            circle("dw-steel", x, ball.centre, ball.radius),
            circle("dw-phantom", x, ball.centre - ball.lift, ball.radius) if ball.lift else "",
            circle("dw-outline", x, ball.centre, ball.radius),
            line("dw-centre", (x - reach, ball.centre), (x + reach, ball.centre)),
        ]
    return "".join(drawn)


def ends(frame: Frame, rings: Sequence[Ring], *, thick: float = 13.0) -> str:
    """The housing's floor below and the cylinder's end above, both broken off."""
    wide = frame.side + 0.12 * frame.side
    bottom, top = rings[0], rings[-1]
    hole = max(min(bottom.inner, bottom.outer * 0.8), 4.0)
    inner = min(top.inner, wide - 6)
    drawn = ""
    for hole_here, face, far, rising in (
        (hole, bottom.low, bottom.low + thick, False), (inner, top.high, top.high - thick, True),
    ):  # fmt: skip
        both = _halves(frame, [(hole_here, face), (wide, face), (wide, far), (hole_here, far)])
        lines = [s for half in both for s in hatch(half, spacing=5, rising=rising)]
        drawn += area("dw-metal", *both) + strokes("dw-hatch", lines)
        for s in (-1, 1):
            near, edge = frame.axis + s * hole_here, frame.axis + s * wide
            drawn += line("dw-outline", (near, far), (near, face), (edge, face))
    return drawn
