"""Steps of the march: while the rod stands, and while it works."""

from __future__ import annotations

import numpy as np

from wetend.jit.kinds import Real, inner, reals
from wetend.physics.cycle.given import (
    ATMOSPHERE,
    CYCLED,
    EMPTY,
    SUMS,
    TANGENT,
    WAY,
    Cycled,
    Given,
    Sums,
    Tangent,
    Way,
)
from wetend.physics.cycle.passages import (
    all_below,
    at_speed,
    content,
    leaks,
    pace,
    taken,
    where,
)
from wetend.physics.stroke.rows import SLOWEST

_ROUNDS = 16
_CLOSE = 1e-3
"""Newton's last step, after which what is left is about its square."""


def _grid(count: int, ratio: float) -> tuple[float, ...]:
    """Shares of a length, each so much longer than the one before."""
    steps = [ratio**k for k in range(count)]
    return tuple(step / sum(steps) for step in steps)


_RATIO = 2.1
WORKING = _grid(6, _RATIO)
RESTING = (0.12, 0.28, 0.6)
"""Of first order, which never takes more from the hose than it holds."""
_SECOND = ((1.0 + _RATIO) / (1.0 + 2.0 * _RATIO), (1.0 + _RATIO) ** 2 / (1.0 + 2.0 * _RATIO),
           _RATIO**2 / (1.0 + 2.0 * _RATIO))  # fmt: skip
"""Of the formula of second order: factor of the step, weights of the last two values."""
_SMOOTH = 0.3
"""Change of speed over a step, of what it is, up to which the next is of second order: a rod that
has just begun to move is not to be extrapolated."""


@inner(SUMS(SUMS, SUMS, Real), fused=True)
def _carried(now: Sums, before: Sums, smooth: Given) -> Sums:
    """What the last two values say of the next; where not smooth, what the last does."""
    a, b = 1.0 + smooth * (_SECOND[1] - 1.0), smooth * _SECOND[2]
    return Sums(
        a * now.content - b * before.content, a * now.time - b * before.time,
        a * now.pressed - b * before.pressed, a * now.delivered - b * before.delivered,
    )  # fmt: skip


@inner(reals(3)(CYCLED, Real, Real, Real, Real), fused=True)
def _fallen(
    g: Cycled, room: Given, base: Given, time: Given, pressure: Given
) -> tuple[Given, Given, Given]:
    """Pressure after resting so long from this content, the content then, and the flow."""
    low, high = EMPTY + 0.0 * pressure, 1.0 * pressure
    leak = leaks(g, 0.0 * pressure, 1.0 + 0.0 * pressure, pressure)
    moved = 0.0 * pressure
    held, give = content(g, room, pressure)
    flow, slope = taken(g, pressure)
    for _ in range(_ROUNDS):
        lost = np.maximum(leak.flow + leak.slope * pressure, 0.0)
        over = held - base + time * (flow + lost)
        low = where(over < 0.0, pressure, low)
        high = where(over < 0.0, high, pressure)
        new = pressure - over / (give + time * (slope + leak.slope))
        new = where((new >= low) & (new <= high), new, 0.5 * (low + high))
        moved = new - pressure
        pressure = new
        if all_below(moved, _CLOSE * (np.abs(pressure) + ATMOSPHERE)):
            break
        held, give = content(g, room, pressure)
        flow, slope = taken(g, pressure)
    return pressure, held + give * moved, flow + slope * moved


@inner(reals(5)(CYCLED, Real, SUMS, Real, Real), fused=True)
def rest(g: Cycled, room: Given, start: Sums, pressure: Given, time: Given) -> tuple[Given, ...]:
    """The rod stands for a time: content, time, time times pressure, delivered; pressure."""
    now = start
    for part in RESTING:
        step = part * time
        pressure, held, flow = _fallen(g, room, now.content, step, pressure)
        now = Sums(
            held, now.time + step, now.pressed + step * pressure, now.delivered + step * flow
        )
    return now.content, now.time, now.pressed, now.delivered, pressure


@inner(reals(5)(CYCLED, WAY, TANGENT, Real, Real, Real), fused=True)
def _worked(
    g: Cycled, way: Way, leak: Tangent, base: Given, step: Given, v: Given
) -> tuple[Given, ...]:
    """Speed, pressures in the pump and at the gauge, content and flow at the end of a step."""
    low, high = 0.0 * v, 2.0 * np.sqrt(g.force / g.bend) + 0.0 * v
    given, moved = base + step * way.given, 0.0 * v
    pump, gauge, gauge_slope = at_speed(g, way, leak, v)
    held, give = content(g, way.room, gauge)
    flow, with_gauge = taken(g, gauge)
    for _ in range(_ROUNDS):
        lost = np.maximum(leak.flow + leak.slope * pump, 0.0)
        over = v * (held - given) + step * (flow + lost)
        steep = -(2.0 * g.bend * v + g.drag) / way.area
        slope = held - given + (v * give + step * with_gauge) * gauge_slope
        slope = slope + step * leak.slope * steep
        low = where(over > 0.0, v, low)
        high = where(over > 0.0, high, v)
        new = v - over / np.minimum(slope, -1e-30)
        new = where((new >= low) & (new <= high), new, 0.5 * (low + high))
        moved = new - v
        v = new
        risen = gauge_slope * moved
        if all_below(moved, _CLOSE * v) and all_below(risen, _CLOSE * (np.abs(gauge) + ATMOSPHERE)):
            break
        pump, gauge, gauge_slope = at_speed(g, way, leak, v)
        held, give = content(g, way.room, gauge)
        flow, with_gauge = taken(g, gauge)
    risen = gauge_slope * moved
    return (
        np.maximum(v, SLOWEST),
        pump + risen,
        gauge + risen,
        held + give * risen,
        flow + with_gauge * risen,
    )


@inner(reals(4)(CYCLED, WAY, SUMS, Real, Real), fused=True)
def work(g: Cycled, way: Way, start: Sums, pressure: Given, length: Given) -> tuple[Given, ...]:
    """The rod works along a length: time, time times pressure, delivered; pressure at its end."""
    before, now = start, start
    v, smooth = pace(g, way, pressure), 0.0 * pressure
    pump = np.minimum((way.spare - (g.bend * v + g.drag) * v) / way.area, 2.0 * g.control)
    for part in WORKING:
        base, last = _carried(now, before, smooth), v
        step = part * length * (1.0 + smooth * (_SECOND[0] - 1.0))
        leak = leaks(g, way.slow, way.fast, pump)
        v, pump, pressure, held, flow = _worked(g, way, leak, base.content, step, v)
        smooth = where(np.abs(v - last) < _SMOOTH * v, 1.0, 0.0)
        time = step / v
        before, now = (
            now,
            Sums(
                held, base.time + time, base.pressed + time * pressure, base.delivered + time * flow
            ),
        )
    return now.time, now.pressed, now.delivered, pressure
