r"""A block of pumps through the same few steps of Newton together.

With x the speed over the free one, stall solves

.. math:: A v_0 x = q(p),\quad p = \frac{F}{A}\left(1 - \frac{F_f}{F} - x^2\right)

for x. While spraying, the unknown is the root of the flow, s, in which a hose's table is straight
lines and everything else follows without a root to draw:

.. math:: p = D(s),\quad x = \frac{s^2 + q(p)}{A v_0},\quad
    0 = 1 - \frac{F_f}{F} - \frac{p A}{F} - x^2

A pump whose last step is not small enough, or that left its cell of the hose's table with it, is
marked, to be solved alone. Source: as ``steady``; Newton's method.
"""

from __future__ import annotations

import math

from wetend.jit.kinds import Nothing, Real, Reals, Whole, inner, reals
from wetend.physics.stroke.rows import (
    FLOW,
    FORCE,
    FREE,
    FRICTION,
    HOSE,
    LANES,
    LAW,
    LEAST_RATIO,
    LOWER,
    NOZZLE,
    OUT,
    OUT_FLOW,
    OUT_STEEP,
    PAST,
    PAST_FLOW,
    PAST_STEEP,
    PRESSURE,
    PULL,
    RAISED,
    RATIO,
    REACH,
    RISE,
    ROOT,
    SHARE,
    STALLED,
    STATIC_FAST,
    STATIC_SLOW,
    STEEP,
    STRAIGHT,
    SWEEP,
    TABLE_ROW,
    UNDONE,
    VALVE_FAST,
    VALVE_SLOW,
    WITHIN,
    Array,
    HoseTable,
    Law,
    X,
    both_leaks,
    hose_cell,
    raised,
)

_STALL_ROUNDS = 2
_SPRAY_ROUNDS = 3
_LAST_STEP = 1e-6
"""Newton's last step, of the unknown, after which what is left is about its square."""
_NEAR_FREE = 0.99
"""Share of the fastest x squared, past which pressure is too small a difference to be had so."""
_LEAST = 1e-30


@inner(Nothing(Reals, Real), fused=True)
def prepare(w: Array, area: float) -> None:
    """What one way of the stroke needs, from what is given; the valve's leak is in its place."""
    for j in range(LANES):
        force = max(w[FORCE + j], 1e-9)
        w[PULL + j] = force / area
        w[REACH + j] = min(max(1.0 - w[FRICTION + j] / force, 0.0), 1.0)
        w[SWEEP + j] = area * w[FREE + j]
        past, out = 2.0 * w[VALVE_SLOW + j], 2.0 * w[STATIC_SLOW + j]
        past_ratio = past / max(w[VALVE_FAST + j], _LEAST)
        out_ratio = out / max(w[STATIC_FAST + j], _LEAST)
        w[PAST + j] = past
        w[PAST_STEEP + j] = past_ratio * past_ratio
        w[OUT + j] = out
        w[OUT_STEEP + j] = out_ratio * out_ratio


@inner(Nothing(Reals, LAW), fused=True)
def _raise_pressure(w: Array, law: Law) -> None:
    """Pressure over the reference, and that to the law's power."""
    for j in range(LANES):
        w[RATIO + j] = max(w[PRESSURE + j] / law.reference, LEAST_RATIO)
    if law.power == 1.0:
        for j in range(LANES):
            w[RAISED + j] = w[RATIO + j]
    else:
        for j in range(LANES):
            w[RAISED + j] = raised(w[RATIO + j], law.power)


@inner(reals(4)(Reals, Whole, LAW), fused=True)
def _leaks(w: Array, j: int, law: Law) -> tuple[float, float, float, float]:
    """Through valve and packings, through the static packings, their slopes with pressure."""
    past, out, past_slope, out_slope = both_leaks(
        w[RATIO + j], w[RAISED + j], law.power,
        (w[PAST + j], w[PAST_STEEP + j], w[OUT + j], w[OUT_STEEP + j]),
    )  # fmt: skip
    return past, out, past_slope / law.reference, out_slope / law.reference


@inner(Nothing(Reals, LAW), fused=True)
def _stall_start(w: Array, law: Law) -> None:
    """A first x: the leak a straight line from where it is while the rod stands."""
    for j in range(LANES):
        pull, sweep = w[PULL + j], w[SWEEP + j]
        past, out, past_slope, out_slope = _leaks(w, j, law)
        leak, slope = past + out, past_slope + out_slope
        x = 2.0 * leak / (sweep + math.sqrt(sweep * sweep + 4.0 * leak * slope * pull))
        w[X + j] = x
        w[PRESSURE + j] = pull * max(w[REACH + j] - x * x, 0.0)


@inner(Nothing(Reals, LAW), fused=True)
def _stall_step(w: Array, law: Law) -> None:
    """One step of Newton."""
    for j in range(LANES):
        x, pull, sweep = w[X + j], w[PULL + j], w[SWEEP + j]
        past, out, past_slope, out_slope = _leaks(w, j, law)
        step = (past + out - sweep * x) / (sweep + 2.0 * pull * x * (past_slope + out_slope))
        new = x + step
        w[X + j] = new
        w[PRESSURE + j] = pull * max(w[REACH + j] - new * new, 0.0)
        done = (abs(step) <= _LAST_STEP * new) & (new * new <= _NEAR_FREE * w[REACH + j])
        w[UNDONE + j] = 0.0 if done else 1.0


@inner(Nothing(Reals, LAW), fused=True)
def stall(w: Array, law: Law) -> None:
    """The x at which nothing is delivered."""
    for j in range(LANES):
        w[PRESSURE + j] = w[PULL + j] * w[REACH + j]
    for count in range(1 + _STALL_ROUNDS):
        _raise_pressure(w, law)
        if count == 0:
            _stall_start(w, law)
        else:
            _stall_step(w, law)


@inner(Nothing(Reals, HOSE, Real), fused=True)
def _read_hose(w: Array, hose: HoseTable, over_step: float) -> None:
    """Look the hose up at the flows supposed."""
    for j in range(LANES):
        lower, rise, within = hose_cell(
            w[ROOT + j] * over_step, hose, w[TABLE_ROW + j], w[SHARE + j]
        )
        w[LOWER + j] = lower
        w[RISE + j] = rise
        w[WITHIN + j] = within


@inner(Nothing(Reals), fused=True)
def _start(w: Array) -> None:
    """A first flow: as if there were neither leak nor hose."""
    for j in range(LANES):
        pull, reach, sweep = w[PULL + j], w[REACH + j], w[SWEEP + j]
        a, b = 1.0 / (sweep * sweep) + w[NOZZLE + j] / pull, w[STRAIGHT + j] / pull
        w[FLOW + j] = 2.0 * reach / (b + math.sqrt(b * b + 4.0 * a * reach))
        w[ROOT + j] = math.sqrt(w[FLOW + j])


@inner(Nothing(Reals), fused=True)
def _start_again(w: Array) -> None:
    r"""A better one: the hose a resistance, the leak in step with pressure.

    .. math:: \left(\frac{Q + q}{A v_0}\right)^2 + \frac{A}{F} (R Q + k Q^2) = 1 - \frac{F_f}{F}
    """
    for j in range(LANES):
        pull, reach, sweep, flow = w[PULL + j], w[REACH + j], w[SWEEP + j], w[FLOW + j]
        over = 1.0 / (sweep * sweep)
        resistance = w[STRAIGHT + j] + (w[LOWER + j] + w[WITHIN + j] * w[RISE + j]) / flow
        leak = w[STALLED + j] * sweep * min(1.0, max(0.0, 1.0 - over * flow * flow / reach))
        a, b = over + w[NOZZLE + j] / pull, resistance / pull + 2.0 * over * leak
        c = max(reach - over * leak * leak, 1e-12)
        w[ROOT + j] = math.sqrt(2.0 * c / (b + math.sqrt(b * b + 4.0 * a * c)))


@inner(Nothing(Reals, Real), fused=True)
def _take(w: Array, over_step: float) -> None:
    """Pressure the outlet takes, and its slope with s."""
    for j in range(LANES):
        s, rise = w[ROOT + j], w[RISE + j]
        straight, through = w[STRAIGHT + j], w[NOZZLE + j] * s * s
        w[PRESSURE + j] = w[LOWER + j] + w[WITHIN + j] * rise + (straight + through) * s * s
        w[STEEP + j] = rise * over_step + 2.0 * s * (straight + 2.0 * through)


@inner(Nothing(Reals, LAW, Real), fused=True)
def _step(w: Array, law: Law, over_step: float) -> None:
    """One step of Newton; whatever hangs on s goes along its slope with it."""
    for j in range(LANES):
        s, over_pull, over_sweep = w[ROOT + j], 1.0 / w[PULL + j], 1.0 / w[SWEEP + j]
        pressure, steep = w[PRESSURE + j], w[STEEP + j]
        past, out, past_slope, out_slope = _leaks(w, j, law)
        past_slope *= steep
        out_slope *= steep
        x = (s * s + past + out) * over_sweep
        faster = (2.0 * s + past_slope + out_slope) * over_sweep
        left = w[REACH + j] - pressure * over_pull - x * x
        step = left / (steep * over_pull + 2.0 * x * faster)
        new, within = s + step, w[WITHIN + j] + step * over_step
        done = (abs(step) <= _LAST_STEP * new) & (within >= 0.0) & (within <= 1.0)
        done &= (x > w[STALLED + j]) & (x * x <= _NEAR_FREE * w[REACH + j])
        w[UNDONE + j] = 0.0 if done else 1.0
        w[ROOT + j] = max(new, 0.0)
        w[FLOW + j] = new * new
        w[X + j] = x + faster * step
        w[PRESSURE + j] = pressure + steep * step
        w[PAST_FLOW + j] = past + past_slope * step
        w[OUT_FLOW + j] = out + out_slope * step


@inner(Nothing(Reals, LAW, HOSE), fused=True)
def spray(w: Array, law: Law, hose: HoseTable) -> None:
    """Flow, pressure, x and leaks at which the outlet takes what the drive has left."""
    over_step = 1.0 / hose.step
    _start(w)
    for count in range(1 + _SPRAY_ROUNDS):
        _read_hose(w, hose, over_step)
        if count == 0:
            _start_again(w)
        else:
            _take(w, over_step)
            _raise_pressure(w, law)
            _step(w, law, over_step)
