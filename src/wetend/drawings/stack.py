"""The seal stack in section: rings in their order, heights at the side, the ball with its lift."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wetend.advice.reasons import Verdict
from wetend.advice.rebuild import StackFit, StackLayer, Variant
from wetend.drawings import verdict as shapes
from wetend.drawings.ball_seat import Resting, rest
from wetend.drawings.clock import at, dial
from wetend.drawings.hatching import hatch
from wetend.drawings.labels import Label, column
from wetend.drawings.svg import (
    WIDE,
    Point,
    area,
    circle,
    group,
    line,
    sheet,
    shortened,
    strokes,
    words,
)
from wetend.pump.description import Pump
from wetend.units.kinds import System
from wetend.units.quantity import M, unit_of
from wetend.units.show import show

_LENGTH = unit_of(M)
_AXIS = 82.0
_SIDE = 58.0
_TALL = 250.0
_TOP = 42.0
_LABELS = 186.0


@dataclass(frozen=True)
class _Ring:
    """One layer with its place on the sheet: ``low`` and ``high`` are y, low edge and high edge."""

    layer: StackLayer
    low: float
    high: float
    outer: float
    inner: float

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


def _scale(fit: StackFit) -> float:
    outer = max((layer.outside / 2 for layer in fit.layers), default=1e-3)
    tall = sum(layer.height for layer in fit.layers)
    return min(_SIDE / max(outer, 1e-6), _TALL / max(tall, 1e-6))


def _least(kind: str) -> float:
    """Least drawn height: thin rings are drawn thicker than they are."""
    return {"shim": 7.0, "soft-ring": 10.0, "spacer": 8.0}.get(kind, 20.0)


def _rings(fit: StackFit, scale: float) -> list[_Ring]:
    heights = [max(layer.height * scale, _least(layer.kind)) for layer in fit.layers]
    y = _TOP + sum(heights)
    rings = []
    for layer, height in zip(fit.layers, heights, strict=True):
        outer = max(layer.outside / 2 * scale, 8.0)
        inner = min(max(layer.inside / 2 * scale, 3.0), outer * 0.88)
        rings.append(_Ring(layer, y, y - height, outer, inner))
        y -= height
    return rings


def _halves(points: list[Point]) -> tuple[list[Point], list[Point]]:
    """A half profile given as (from the axis, y), drawn on both sides of the axis."""
    right = [(_AXIS + r, y) for r, y in points]
    return right, [(_AXIS - r, y) for r, y in points]


def _cut(points: list[Point], *, fill: str, rising: bool, spacing: float = 4.0) -> str:
    both = _halves(points)
    lines = [s for half in both for s in hatch(half, spacing=spacing, rising=rising)]
    return area(fill, *both) + strokes("dw-hatch", lines) + area("dw-outline", *both)


def _seat(ring: _Ring, ball: Resting | None) -> str:
    if ball is None:
        return _plain(ring)
    mouth = ring.high + ball.cone
    points = [(ball.bore, ring.low), (ball.bore, mouth), (ball.mouth, ring.high),
              (ring.outer, ring.high), (ring.outer, ring.low)]  # fmt: skip
    return _cut(points, fill="dw-steel", rising=True, spacing=3.4)


def _plain(ring: _Ring) -> str:
    points = [(ring.inner, ring.low), (ring.inner, ring.high), (ring.outer, ring.high),
              (ring.outer, ring.low)]  # fmt: skip
    if ring.layer.kind == "shim":
        return area("dw-ink-fill", *_halves([(r, y + (0.7 if y < ring.low else -0.7))
                                             for r, y in points]))  # fmt: skip
    if ring.layer.kind == "soft-ring":
        both = _halves(points)
        return area("dw-soft", *both) + area("dw-outline", *both)
    return _cut(points, fill="dw-steel", rising=False)


def _cage(ring: _Ring, stop: float) -> str:
    wall = [(ring.inner, ring.low), (ring.inner, ring.high), (ring.outer, ring.high),
            (ring.outer, ring.low)]  # fmt: skip
    boss = 0.46 * ring.inner
    crown = [(_AXIS - ring.inner, ring.high), (_AXIS + ring.inner, ring.high),
             (_AXIS + ring.inner, stop), (_AXIS - ring.inner, stop)]  # fmt: skip
    nose = [(_AXIS - boss, ring.high), (_AXIS + boss, ring.high), (_AXIS + boss, stop),
            (_AXIS - boss, stop)]  # fmt: skip
    return (
        area("dw-metal", crown) + area("dw-thin", crown)
        + area("dw-steel", nose) + strokes("dw-hatch", hatch(nose, rising=False))
        + area("dw-outline", nose) + _cut(wall, fill="dw-steel", rising=False)
    )  # fmt: skip


def _ends(rings: list[_Ring]) -> str:
    """The housing's floor below and the cylinder's end above, cut off."""
    wide = _SIDE + 8
    bottom, top = rings[0], rings[-1]
    hole = max(min(bottom.inner, bottom.outer * 0.8), 4.0)
    floor = [(hole, bottom.low), (wide, bottom.low), (wide, bottom.low + 13),
             (hole, bottom.low + 13)]  # fmt: skip
    inner = min(top.inner, wide - 8)
    end = [(inner, top.high - 14), (inner, top.high), (wide, top.high), (wide, top.high - 14)]
    drawn = ""
    for points, rising in ((floor, False), (end, True)):
        both = _halves(points)
        lines = [s for half in both for s in hatch(half, spacing=5, rising=rising)]
        edge = points[0][1] if points is floor else points[1][1]
        drawn += area("dw-metal", *both) + strokes("dw-hatch", lines)
        drawn += "".join(line("dw-outline", (_AXIS + s * points[0][0], edge),
                              (_AXIS + s * wide, edge)) for s in (-1, 1))  # fmt: skip
    return drawn


def _lines(
    layer: StackLayer, fit: StackFit, system: System
) -> tuple[tuple[str, ...], Verdict | None]:
    size = show(layer.height, _LENGTH, system)
    title = shortened(layer.title or layer.name, 12, WIDE - _LABELS - 22)
    if layer.kind == "shim":
        return (f"shim {size}",), None
    for squeeze in fit.squeezes:
        if squeeze.name == layer.name:
            return (title, f"{size}, {squeeze.squeeze * 100:.0f} %"), squeeze.verdict
    return (title, size), None


def _chain(rings: list[_Ring]) -> str:
    """The chain of dimensions beside the rings, an oblique stroke at each face."""
    x = _AXIS + _SIDE + 14
    faces = [rings[0].low, *(r.high for r in rings)]
    edges = [rings[0].outer, *(r.outer for r in rings)]
    drawn = line("dw-thin", (x, faces[0]), (x, faces[-1]))
    for y, edge in zip(faces, edges, strict=True):
        drawn += line("dw-fine", (_AXIS + edge + 2, y), (x + 4, y))
        drawn += line("dw-thin", (x - 2.6, y + 2.6), (x + 2.6, y - 2.6))
    return drawn


def _overall(rings: list[_Ring], text: str) -> str:
    x, low, high = 14.0, rings[0].low, rings[-1].high
    middle = (low + high) / 2
    ends = "".join(line("dw-thin", (x - 2.6, y + 2.6), (x + 2.6, y - 2.6))
                   + line("dw-fine", (x - 4, y), (_AXIS - rings[0].outer - 2, y))
                   for y in (low, high))  # fmt: skip
    label = group("dw-turned", words(text, 0, 0, anchor="middle"),
                  transform=f"translate(9 {middle:.1f}) rotate(-90)")  # fmt: skip
    return line("dw-thin", (x, low), (x, high)) + ends + label


def _ball(x: float, y: float, radius: float, lift: float) -> str:
    """The ball on its seat and, in phantom line, against its stop."""
    return (
        circle("dw-steel", x, y, radius)
        + (circle("dw-phantom", x, y - lift, radius) if lift > 0 else "")
        + circle("dw-outline", x, y, radius)
        + line("dw-centre", (x - radius - 5, y), (x + radius + 5, y))
    )


def _valve(
    fit: StackFit, rings: list[_Ring], scale: float, pump: Pump | None
) -> tuple[Resting | None, float, float, float]:
    """How the ball rests, its radius, the y of its centre and the lift as drawn."""
    seat = next((r for r in rings if r.layer.kind == "seat"), None)
    cage = next((r for r in rings if r.layer.kind == "cage"), None)
    if seat is None or cage is None:
        return None, 0.0, 0.0, 0.0
    valve = pump.foot_valve if pump else None
    radius = valve.ball_diameter / 2 * scale if valve else 0.92 * cage.inner
    radius = min(radius, 0.96 * cage.inner)
    resting = rest(
        ball=radius, bore=seat.inner, half_angle=valve.seat_half_angle if valve else math.pi / 4,
        width=valve.seat_width * scale if valve else 0.3 * radius, height=seat.low - seat.high,
        widest=seat.outer,
    )  # fmt: skip
    lift = min(max(fit.lift * scale, 5.0), radius) if fit.lift > 0 else 0.0
    return resting, radius, seat.low - resting.centre, lift


def section(fit: StackFit, pump: Pump | None = None, *, system: System = "metric") -> str:
    """The stack as it goes back, in section, every ring named with its clamped height.

    Thin rings are drawn thicker than they are, and the sheet says so. Without ``pump`` the ball is
    drawn to fill its cage, on a seat of 45 degrees.
    """
    scale = _scale(fit)
    rings = _rings(fit, scale)
    if not rings:
        return sheet("The seal stack", "No rings.", height=20)
    resting, radius, centre, lift = _valve(fit, rings, scale, pump)
    drawn: list[str] = [_ends(rings)]
    labels = []
    for ring in rings:
        if ring.layer.kind == "seat":
            drawn.append(_seat(ring, resting))
        elif ring.layer.kind == "cage" and resting:
            stop = max(centre - radius - lift, ring.high + 5)
            drawn.append(_cage(ring, stop))
        else:
            drawn.append(_plain(ring))
        lines, mark = _lines(ring.layer, fit, system)
        labels.append(Label(lines, (_AXIS + _SIDE + 14, ring.middle), mark))
    if resting:
        drawn.append(_ball(_AXIS, centre, radius, lift))
        labels.append(Label(("ball lift", show(fit.lift, _LENGTH, system)),
                            (_AXIS, centre - radius - lift / 2), fit.lift_verdict))  # fmt: skip
    bottom = rings[0].low + 22
    high = max(bottom, 16 + sum(each.height for each in labels))
    total = show(sum(layer.height for layer in fit.layers), _LENGTH, system)
    said = "; ".join(
        f"{layer.title or layer.name} {show(layer.height, _LENGTH, system)}" for layer in fit.layers
    )
    return sheet(
        "The seal stack in section",
        f"From the housing's floor upwards: {said}. Ball lift {show(fit.lift, _LENGTH, system)}, "
        f"{fit.lift_verdict}. Stack as clamped {total}.",
        words("cylinder end", _AXIS, 14, cls="dw-text dw-small dw-quiet", anchor="middle"),
        *drawn, line("dw-centre", (_AXIS, 18), (_AXIS, bottom)), _chain(rings),
        _overall(rings, total),
        column(labels, text_x=_LABELS, shelf_x=_LABELS - 10, low=4, high=high),
        words("housing floor", _AXIS, high + 8, cls="dw-text dw-small dw-quiet", anchor="middle"),
        words("thin rings drawn thicker than scale", WIDE - 4, high + 24,
              cls="dw-text dw-small dw-quiet", anchor="end"),
        height=high + 32,
    )  # fmt: skip


def _hand(centre: Point, radius: float, angle: float) -> str:
    return line("dw-accent-thick", centre, at(centre, radius * 0.86, angle)) + circle(
        "dw-accent", *centre, 4
    )


def _gauge(x: float, base: float, share: float) -> str:
    """A ball between its seat and its stop; ``share`` is the lift over the ball's radius."""
    radius = 15.0
    gap = min(max(share, 0.0), 1.2) * radius
    seat = [[(x + s * 7, base), (x + s * 7, base - 7), (x + s * 14, base - 14),
             (x + s * 24, base - 14), (x + s * 24, base)] for s in (-1, 1)]  # fmt: skip
    centre = base - 7 - radius * 0.95
    stop = centre - radius - gap
    top = [(x - 24, stop), (x + 24, stop), (x + 24, stop - 6), (x - 24, stop - 6)]
    return (
        area("dw-steel", *seat) + strokes("dw-hatch", [h for s in seat for h in hatch(s)])
        + area("dw-outline", *seat) + area("dw-steel", top)
        + strokes("dw-hatch", hatch(top, rising=False)) + area("dw-outline", top)
        + circle("dw-steel", x, centre, radius) + circle("dw-outline", x, centre, radius)
        + (circle("dw-phantom", x, centre - gap, radius) if gap > 1 else "")
    )  # fmt: skip


def variant(each: Variant, *, full_lift: M = 0.011, system: System = "metric") -> str:
    """One way the shims go in wrong: where the elbow would stop and how far the ball would lift.

    ``full_lift`` is the lift drawn as one radius of the ball.
    """
    width, left, right = 160.0, 46.0, 118.0
    lift = show(each.lift, _LENGTH, system)
    marks = [
        shapes.at(each.elbow_verdict, 12, 140, 18), shapes.at(each.lift_verdict, 88, 140, 18),
        words(str(each.elbow_verdict), 4, 162, cls="dw-text dw-small"),
        words(str(each.lift_verdict), 80, 162, cls="dw-text dw-small"),
    ]  # fmt: skip
    return sheet(
        each.title,
        f"Elbow {each.clock}, {each.elbow_verdict}; lift {lift}, {each.lift_verdict}. {each.why}",
        dial((left - 6, 72), 36), _hand((left - 6, 72), 36, each.stop_angle),
        _gauge(right, 108, each.lift / max(full_lift, 1e-6)),
        words(each.clock, 25, 145, cls="dw-text dw-strong"),
        words(shortened(lift, 12, 58), 101, 145, cls="dw-text dw-strong"), *marks,
        words(shortened(each.title, 12, width - 4), 2, 16, cls="dw-text dw-strong"),
        width=width, height=170,
    )  # fmt: skip
