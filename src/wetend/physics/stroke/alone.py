"""One pump's stroke solved by itself, from any start, always inside its bracket.

For the few pumps that the sums on many at once leave unfinished.
"""

from __future__ import annotations

import math

from wetend.jit.kinds import Nothing, Real, Reals, Whole, inner, reals
from wetend.physics.stroke.rows import (
    FLOW,
    HOSE,
    LAW,
    LEAST_RATIO,
    NOZZLE,
    OUT,
    OUT_FLOW,
    OUT_STEEP,
    PAST,
    PAST_FLOW,
    PAST_STEEP,
    PRESSURE,
    PULL,
    REACH,
    SHARE,
    STALLED,
    STRAIGHT,
    SWEEP,
    TABLE_ROW,
    Array,
    HoseTable,
    Law,
    X,
    both_leaks,
    hose_cell,
)

_MOST = 90
_BISECT_EVERY = 3
_CLOSE = 1e-11
"""What may be left over, of what there is: as the functions rise by at least that much over a
root's own length, the root is then known to as many places.
"""


@inner(reals(3)(Reals, Whole, Real, LAW), fused=True)
def _leaks(w: Array, j: int, pressure: float, law: Law) -> tuple[float, float, float]:
    """Through valve and packings, through the static packings, the slope of both with pressure."""
    ratio = max(pressure / law.reference, LEAST_RATIO)
    raised = ratio if law.power == 1.0 else ratio**law.power
    past, out, past_slope, out_slope = both_leaks(
        ratio, raised, law.power, (w[PAST + j], w[PAST_STEEP + j], w[OUT + j], w[OUT_STEEP + j])
    )
    return past, out, (past_slope + out_slope) / law.reference


@inner(Real(Real, Real, reals(2), Whole, Real), fused=True)
def _next(x: float, step: float, bracket: tuple[float, float], count: int, moved: float) -> float:
    """Newton's step where it stays in the bracket and gets on, else its middle: as ``root``."""
    new = x - step
    inside = bracket[0] <= new <= bracket[1]
    if count > 8 and count % _BISECT_EVERY == 0:
        inside = inside and abs(step) <= 0.5 * moved
    return new if inside else 0.5 * (bracket[0] + bracket[1])


@inner(Real(Reals, Whole, LAW), fused=True)
def stall_alone(w: Array, j: int, law: Law) -> float:
    """The x at which nothing is delivered."""
    pull, reach, sweep = w[PULL + j], w[REACH + j], w[SWEEP + j]
    below, above = 0.0, math.sqrt(reach)
    past, out, _ = _leaks(w, j, pull * reach, law)
    x = min((past + out) / max(sweep, 1e-300), above)
    moved = math.inf
    for count in range(_MOST):
        past, out, slope = _leaks(w, j, pull * max(reach - x * x, 0.0), law)
        value = sweep * x - past - out
        if abs(value) <= _CLOSE * sweep * x:
            return x
        if value < 0.0:
            below = x
        else:
            above = x
        step = value / (sweep + 2.0 * pull * x * slope)
        new = _next(x, step, (below, above), count, moved)
        moved = abs(new - x)
        if moved <= 1e-13:
            return new
        x = new
    return x


@inner(reals(2)(Reals, Whole, Real, HOSE), fused=True)
def _demand(w: Array, j: int, flow: float, hose: HoseTable) -> tuple[float, float]:
    """Pressure the outlet takes at a flow, and its slope with the flow."""
    root = math.sqrt(flow)
    lower, rise, within = hose_cell(root / hose.step, hose, w[TABLE_ROW + j], w[SHARE + j])
    straight, nozzle = w[STRAIGHT + j], w[NOZZLE + j]
    taken = lower + within * rise + (straight + nozzle * flow) * flow
    return taken, rise / (2.0 * hose.step * max(root, 1e-9)) + straight + 2.0 * nozzle * flow


@inner(Real(Reals, Whole, LAW, HOSE), fused=True)
def _spray_x(w: Array, j: int, law: Law, hose: HoseTable) -> float:
    """The x at which the outlet takes just the pressure that the drive has left."""
    pull, reach, sweep = w[PULL + j], w[REACH + j], w[SWEEP + j]
    below, above = w[STALLED + j], max(math.sqrt(reach), w[STALLED + j])
    square = w[NOZZLE + j] * sweep * sweep
    x = min(max(above * math.sqrt(pull / max(pull + square, 1e-300)), below), above)
    moved = math.inf
    for count in range(_MOST):
        pressure = pull * max(reach - x * x, 0.0)
        past, out, slope = _leaks(w, j, pressure, law)
        taken, resistance = _demand(w, j, max(sweep * x - past - out, 0.0), hose)
        value = taken - pressure
        if abs(value) <= _CLOSE * pull * x * x:
            return x
        if value < 0.0:
            below = x
        else:
            above = x
        rise = resistance * (sweep + 2.0 * pull * x * slope) + 2.0 * pull * x
        new = _next(x, value / rise, (below, above), count, moved)
        moved = abs(new - x)
        if moved <= 1e-11:
            return new
        x = new
    return x


@inner(Nothing(Reals, Whole, LAW, HOSE), fused=True)
def spray_alone(w: Array, j: int, law: Law, hose: HoseTable) -> None:
    """One pump's pressure, flow and leaks while it sprays."""
    x = _spray_x(w, j, law, hose)
    pressure = w[PULL + j] * max(w[REACH + j] - x * x, 0.0)
    past, out, _ = _leaks(w, j, pressure, law)
    w[X + j] = x
    w[PRESSURE + j] = pressure
    w[PAST_FLOW + j] = past
    w[OUT_FLOW + j] = out
    w[FLOW + j] = max(w[SWEEP + j] * x - past - out, 0.0)
