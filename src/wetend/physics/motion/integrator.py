"""Carry a stiff problem with modes from event to event, with error control, inside one compiled call.

A problem is four compiled functions over a state ``y``, parameters ``p``, a ``mode`` of whole
numbers and a ``clock`` of times at which something happens:

- ``field``: slopes and, when asked, their Jacobian;
- ``guards``: numbers that stay at nought or above as long as the mode holds;
- ``react``: what happens when a guard falls below nought, or a time on the clock comes: it sets
  state, mode and clock, and says whether to stop;
- ``weigh``: how large an error of each state is at a tolerance of 1.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import types
from numpy.typing import NDArray

from wetend.physics.motion.compiled import Nothing, Real, Reals, Table, Whole, Wholes, compiled
from wetend.physics.motion.rosenbrock import (
    Field,
    at_share,
    error_norm,
    prepare_between,
    step,
)

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

GUARDS = Nothing(Reals, Reals, Wholes, Reals)
REACT = Whole(Whole, Real, Reals, Reals, Wholes, Reals)
WEIGH = Nothing(Reals, Reals, Reals)
Guards, React, Weigh = (types.FunctionType(s) for s in (GUARDS, REACT, WEIGH))

REACHED, STOPPED, BUDGET_SPENT, STEP_TOO_SMALL, ROWS_FULL, RESTLESS = range(6)
"""How a run ended: at its time, by an event, or short of it for want of steps, of step size, of
rows to write in, or because events followed each other without end."""
(STEPS, REJECTED, SLOPES, EVENTS, ROWS, TALLIES) = range(6)
"""Places in the tally."""
(O_TOLERANCE, O_FIRST, O_LONGEST, O_RESTART, O_EVERY, OPTIONS) = range(6)
"""Places in the options: tolerance, first step, longest step, step after an event, least time
between rows (0: every step)."""

_AT_ONCE = 12
_LEAST = 1e-13


@compiled(Nothing(Table, Wholes, Real, Reals, Wholes))
def write_row(rows: Array, tally: Integers, t: float, y: Array, mode: Integers) -> None:
    """Add a row: time, state, mode. A full table is left as it is."""
    k = tally[ROWS]
    if k >= rows.shape[0]:
        return
    n = y.shape[0]
    rows[k, 0] = t
    for i in range(n):
        rows[k, 1 + i] = y[i]
    for i in range(mode.shape[0]):
        rows[k, 1 + n + i] = mode[i]
    tally[ROWS] = k + 1


@compiled(Nothing(Table, Wholes, Real, Whole))
def write_event(marks: Array, tally: Integers, t: float, which: int) -> None:
    """Add an event: its time, which guard (or -1 less the place on the clock), the row it has."""
    k = tally[EVENTS]
    if k < marks.shape[0]:
        marks[k, 0] = t
        marks[k, 1] = which
        marks[k, 2] = tally[ROWS]
    tally[EVENTS] = k + 1


@compiled(types.Tuple((Whole, Real))(
    Guards, Table, Reals, Wholes, Reals, Reals, Reals, Reals
))  # fmt: skip
def first_crossing(
    guards: Any, between: Array, p: Array, mode: Integers, before: Array, after: Array,
    y: Array, g: Array,
) -> tuple[int, float]:  # fmt: skip
    """The guard that falls below nought first within a step, and at what share of it.

    Source: the Illinois form of regula falsi, common numerical practice, on the dense output.
    """
    which = -1
    earliest = 1.0
    for i in range(before.shape[0]):
        if not (before[i] >= 0.0 and after[i] < 0.0):
            continue
        low, high, g_low, g_high = 0.0, 1.0, before[i], after[i]
        if which >= 0:
            at_share(between, earliest, y)
            guards(y, p, mode, g)
            if not g[i] < 0.0:
                continue
            high, g_high = earliest, g[i]
        for _ in range(40):
            middle = high - g_high * (high - low) / (g_high - g_low)
            if not (low < middle < high):
                middle = 0.5 * (low + high)
            at_share(between, middle, y)
            guards(y, p, mode, g)
            if g[i] < 0.0:
                high, g_high = middle, g[i]
                g_low *= 0.5
            else:
                low, g_low = middle, g[i]
                g_high *= 0.5
            if high - low < 1e-7 or g_high > -1e-300:
                break
        earliest = high
        which = i
    return which, earliest


@compiled(Whole(
    Field, Guards, React, Weigh, Real, Real, Reals, Reals, Wholes, Reals, Reals, Whole,
    Table, Table, Wholes,
))  # fmt: skip
def advance(
    field: Any, guards: Any, react: Any, weigh: Any, t: float, t_end: float, y: Array, p: Array,
    mode: Integers, clock: Array, options: Array, guard_count: int,
    rows: Array, marks: Array, tally: Integers,
) -> int:  # fmt: skip
    """Integrate from ``t`` to ``t_end``; ``y``, ``mode`` and ``clock`` are left as they end.

    ``clock[0]`` is set to the time reached. ``tally`` counts; its last place holds the most steps
    allowed. Returns how the run ended.
    """
    n = y.shape[0]
    jacobian = np.zeros((n, n))
    system = np.zeros((n, n))
    u = np.zeros((8, n))
    between = np.zeros((4, n))
    order = np.zeros(n, np.int64)
    slope, weights, there = np.zeros(n), np.zeros(n), np.zeros(n)
    before, after, trial = np.zeros(guard_count), np.zeros(guard_count), np.zeros(guard_count)
    tolerance, h = options[O_TOLERANCE], options[O_FIRST]
    budget = tally[TALLIES]
    last_row = t
    fresh = True
    write_row(rows, tally, t, y, mode)
    while True:
        clock[0] = t
        if fresh:
            # settle the mode at this instant: react to guards already below nought
            settled = False
            for _ in range(_AT_ONCE):
                guards(y, p, mode, before)
                which = -1
                for i in range(guard_count):
                    if before[i] < 0.0:
                        which = i
                        break
                if which < 0:
                    settled = True
                    break
                write_event(marks, tally, t, which)
                stop = react(which, t, y, p, mode, clock)
                write_row(rows, tally, t, y, mode)
                if stop != 0:
                    return STOPPED
            if not settled:
                return RESTLESS
            fresh = False
        limit = t_end
        due = -1
        for i in range(1, clock.shape[0]):
            if clock[i] <= limit:
                limit = clock[i]
                due = i
        left = limit - t
        if left <= 4e-16 * max(abs(t), 1e-3):
            if due < 0:
                return REACHED
            write_event(marks, tally, t, -1 - due)
            stop = react(-1 - due, t, y, p, mode, clock)
            write_row(rows, tally, t, y, mode)
            if stop != 0:
                return STOPPED
            fresh = True
            h = min(h, options[O_RESTART])
            continue
        field(y, p, mode, slope, jacobian, True)
        weigh(y, p, weights)
        for i in range(n):
            weights[i] *= tolerance
        tally[SLOPES] += 1
        rejected = False
        while True:
            h = min(h, options[O_LONGEST])
            used = h
            if used >= left:
                used = left
            elif used > 0.5 * left:
                used = 0.5 * left
            if tally[STEPS] + tally[REJECTED] >= budget:
                return BUDGET_SPENT
            if used < _LEAST and used < left:
                return STEP_TOO_SMALL
            bad = step(field, used, y, p, mode, jacobian, system, order, u, slope)
            tally[SLOPES] += 5
            size = error_norm(u, weights) if bad == 0 else np.inf
            if size <= 1.0:
                break
            tally[REJECTED] += 1
            rejected = True
            h = used * max(0.1, 0.9 * size**-0.25)
        tally[STEPS] += 1
        grow = min(6.0, 0.9 * max(size, 1e-8) ** -0.25)
        if rejected:
            grow = min(grow, 1.0)
        if used == h or grow * used > h or rejected:
            h = used * grow
        t_new = limit if used == left else t + used
        which = -1
        if guard_count > 0:
            for i in range(n):
                there[i] = u[6, i]
            guards(there, p, mode, after)
            crossed = False
            for i in range(guard_count):
                if after[i] < 0.0:
                    crossed = True
            if crossed:
                prepare_between(u, y, between)
                which, share = first_crossing(guards, between, p, mode, before, after, there, trial)
                if which >= 0:
                    # step to the event itself, and correct by the secant
                    aim = share * used
                    old_aim, old_g = 0.0, before[which]
                    close = 0.01 * tolerance * max(abs(before[which]), abs(after[which]))
                    for _ in range(4):
                        step(field, aim, y, p, mode, jacobian, system, order, u, slope)
                        tally[SLOPES] += 5
                        for i in range(n):
                            there[i] = u[6, i]
                        guards(there, p, mode, trial)
                        g = trial[which]
                        if abs(g) <= close:
                            break
                        if g == old_g:
                            break
                        new_aim = aim - g * (aim - old_aim) / (g - old_g)
                        if not 0.0 < new_aim <= used:
                            break
                        old_aim, old_g = aim, g
                        aim = new_aim
                    t_new = t + aim
        for i in range(n):
            y[i] = u[6, i]
        t = t_new
        if which >= 0:
            write_row(rows, tally, t, y, mode)
            write_event(marks, tally, t, which)
            stop = react(which, t, y, p, mode, clock)
            write_row(rows, tally, t, y, mode)
            clock[0] = t
            if stop != 0:
                return STOPPED
            fresh = True
            h = min(h, options[O_RESTART])
        else:
            for i in range(guard_count):
                before[i] = after[i]
            if t - last_row >= options[O_EVERY]:
                write_row(rows, tally, t, y, mode)
                last_row = t
        if tally[ROWS] >= rows.shape[0] or tally[EVENTS] >= marks.shape[0]:
            return ROWS_FULL
