"""Carry a stiff problem with modes from event to event, with error control, in one compiled call.

A problem is four compiled functions over a state ``y``, parameters ``p``, a ``mode`` of whole
numbers and a ``clock`` of times at which something happens:

- ``field``: slopes and, when asked, their Jacobian;
- ``guards``: numbers that stay at zero or above as long as the mode holds;
- ``react``: what happens when a guard falls below zero, or a time on the clock comes: it sets
  state, mode and clock, and says whether to stop;
- ``weigh``: how large an error of each state is at a tolerance of 1.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import (
    Nothing,
    Real,
    Reals,
    Table,
    Whole,
    Wholes,
    compiled,
    inner,
    pack_of,
    several,
)
from wetend.physics.motion.crossing import AFTER, BEFORE, GUARDS, TRIAL, first_crossing
from wetend.physics.motion.rosenbrock import (
    FIELD,
    NEW,
    PACE_GUARD,
    PACE_LOW,
    PACE_SINCE,
    PACE_STEP,
    PACE_TOLERANCE,
    PACE_WHOLE,
    PACES,
    RUN,
    SCRATCH,
    STAGES,
    Run,
    Scratch,
    error_norm,
    step,
)

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

REACT = Whole(Whole, Real, Reals, Reals, Wholes, Reals)
"""Signature of reactions: which guard, time, state, parameters, mode, clock; 1 to stop."""
WEIGH = Nothing(Reals, Reals, Reals)
"""Signature of weights: state, parameters, weights out."""


REACHED, STOPPED, BUDGET_SPENT, STEP_TOO_SMALL, ROWS_FULL, RESTLESS, GOES_ON = range(7)
"""How a run ended: at its time, by an event, or short of it for want of steps, of step size, of
rows to write in, or because events followed each other without end."""
(STEPS, REJECTED, EVENTS, ROWS, BUDGET, TALLIES) = range(6)
"""Places in the tally: steps taken, steps refused, events, rows written, most steps allowed."""
(O_END, O_TOLERANCE, O_FIRST, O_RESTART, O_PATIENCE, OPTIONS) = range(6)
"""Places in the options: end time, tolerance, first step, longest step after an event, patience:
steps without an event after which the tolerance is tightened a hundredfold for half as many. That
brings a state back that lies beside its slow course by less than the tolerance sees, which would
keep steps short for ever. 0 for unlimited patience."""
NOTHING, SETTLE = -1000, -1001
"""No event; no event, but guards to be looked at."""

_AT_ONCE = 12
_SAFE = 0.7
"""Share of the step the error would allow; a refused step costs more than a few shorter ones."""
_LEAST = 1e-13
_BARELY = 4e-16


class Output(NamedTuple):
    """Where a run writes: rows of time, state, mode; events; counts."""

    rows: Array
    marks: Array
    tally: Integers


OUTPUT = pack_of(Output, Table, Table, Wholes)


@inner(Nothing(OUTPUT, RUN))
def write_row(output: Output, run: Run) -> None:
    """Add a row: time, state, mode. A full table is left as it is."""
    k = output.tally[ROWS]
    if k >= output.rows.shape[0]:
        return
    row = output.rows[k]
    n = run.y.shape[0]
    row[0] = run.clock[0]
    for i in range(n):
        row[1 + i] = run.y[i]
    for i in range(run.mode.shape[0]):
        row[1 + n + i] = run.mode[i]
    output.tally[ROWS] = k + 1


@inner(Whole(REACT, Whole, OUTPUT, RUN))
def happen(react: Any, which: int, output: Output, run: Run) -> int:
    """Write an event (time, which, the row it has), react to it, and write what follows."""
    t = run.clock[0]
    k = output.tally[EVENTS]
    if k >= output.marks.shape[0]:
        return ROWS_FULL
    output.marks[k, 0] = t
    output.marks[k, 1] = which
    output.marks[k, 2] = output.tally[ROWS] - 1
    output.tally[EVENTS] = k + 1
    stop = react(which, t, run.y, run.p, run.mode, run.clock)
    write_row(output, run)
    return STOPPED if stop != 0 else GOES_ON


@inner(Whole(GUARDS, REACT, Whole, OUTPUT, RUN, SCRATCH))
def settle(guards: Any, react: Any, which: int, output: Output, run: Run, s: Scratch) -> int:
    """React to an event, and at the same instant to every guard then below zero."""
    for _ in range(_AT_ONCE):
        if which != SETTLE:
            how = happen(react, which, output, run)
            if how != GOES_ON:
                return how
        guards(run.y, run.p, run.mode, s.guards[BEFORE])
        which = SETTLE
        for i in range(s.guards.shape[1] - 1, -1, -1):
            if s.guards[BEFORE, i] < 0.0:
                which = i
        if which == SETTLE:
            return GOES_ON
    return RESTLESS


@inner(Nothing(RUN, SCRATCH))
def take(run: Run, s: Scratch) -> None:
    """Go to the end of the step taken."""
    for i in range(run.y.shape[0]):
        run.y[i] = s.stages[NEW, i]
    for i in range(s.guards.shape[1]):
        s.guards[BEFORE, i] = s.guards[AFTER, i]


@inner(several(Whole, Real)(Reals, Real))
def next_due(clock: Array, end: float) -> tuple[int, float]:
    """Which place on the clock comes next, and when; -1 for the end."""
    due = -1
    when = end
    for i in range(1, clock.shape[0]):
        if clock[i] <= when:
            when = clock[i]
            due = i
    return due, when


@inner(Real(Reals, SCRATCH))
def patient(options: Array, s: Scratch) -> float:
    """The tolerance of the next step."""
    patience = options[O_PATIENCE]
    if patience <= 0.0:
        return options[O_TOLERANCE]
    s.pace[PACE_SINCE] += 1.0
    tight = s.pace[PACE_SINCE] % (1.5 * patience) > patience
    return options[O_TOLERANCE] * (0.01 if tight else 1.0)


@inner(Real(Real, Real))
def cut(h: float, left: float) -> float:
    """A step no longer than what is left, which is halved rather than leave a splinter."""
    if h >= left:
        return left
    return 0.5 * left if h > 0.5 * left else h


@inner(Real(Real, Whole, RUN, SCRATCH))
def nearer(used: float, event: int, run: Run, s: Scratch) -> float:  # noqa: ARG001 - one shape for both
    """A step that ends nearer to the event than ``used`` did, by the secant rule; zero if close.

    The pace holds the step before and its guard.
    """
    low, g_low, g = s.pace[PACE_LOW], s.pace[PACE_GUARD], s.guards[TRIAL, event]
    large = max(abs(s.guards[BEFORE, event]), abs(s.guards[AFTER, event]))
    if abs(g) <= 1e-3 * min(1e-3, s.pace[PACE_TOLERANCE]) * large or g == g_low:
        return 0.0
    s.pace[PACE_LOW], s.pace[PACE_GUARD] = used, g
    return used - g * (used - low) / (g - g_low)


@inner(several(Whole, Real)(FIELD, GUARDS, Real, OUTPUT, RUN, SCRATCH))
def stride(
    field: Any, guards: Any, left: float, output: Output, run: Run, s: Scratch
) -> tuple[int, float]:
    """One step that meets the tolerance, cut short at an event; the event, or -1, and the step.

    The step is no longer than ``left``; it is zero if none could be taken. Step sizes follow the
    embedded error of third order (E. Hairer and G. Wanner, section IV.8). An event is stepped to
    again, so that it is as exact as the method and not as the dense output.
    """
    tally = output.tally
    h, most, event, rounds = s.pace[PACE_STEP], 6.0, -1, 0
    used = cut(h, left)
    while tally[STEPS] + tally[REJECTED] < tally[BUDGET] and used >= min(_LEAST, left):
        bad = step(field, used, run, s)
        if event >= 0:
            guards(s.stages[NEW], run.p, run.mode, s.guards[TRIAL])
            rounds += 1
            aim = nearer(used, event, run, s)
            if rounds > 3 or not 0.0 < aim <= s.pace[PACE_WHOLE]:
                return event, used
            used = aim
            continue
        size = error_norm(s) if bad == 0 else np.inf
        grow = min(most, max(0.1, _SAFE * max(size, 1e-8) ** -0.25))
        if size > 1.0:
            tally[REJECTED] += 1
            most = 1.0
            h = used * min(grow, 0.9)
            used = cut(h, left)
            continue
        tally[STEPS] += 1
        s.pace[PACE_STEP] = used * grow if used == h else max(h, used * grow)
        guards(s.stages[NEW], run.p, run.mode, s.guards[AFTER])
        event, share = first_crossing(guards, run, s)
        if event < 0:
            return -1, used
        s.pace[PACE_WHOLE] = used
        s.pace[PACE_LOW] *= used
        used *= max(share, 1e-6)
    return -1, 0.0


def new_scratch(count: int, *, sums: int, guards: int) -> Scratch:
    """Working space for so many states, of which the last are sums, and so many guards."""
    n = count - sums
    return Scratch(
        np.zeros((count, n)),
        np.zeros((n, count)),
        np.zeros(n, np.int64),
        np.zeros((STAGES + 3, count)),
        np.zeros((4, count)),
        np.zeros(count),
        np.zeros(count),
        np.zeros(count),
        np.zeros((3, guards)),
        np.zeros(PACES),
    )


@compiled(Whole(FIELD, GUARDS, REACT, WEIGH, RUN, OUTPUT, SCRATCH, Reals))
def advance(
    field: Any, guards: Any, react: Any, weigh: Any, run: Run, output: Output, s: Scratch,
    options: Array,
) -> int:  # fmt: skip
    """Integrate until the end time, an event that stops, or a budget spent; says which.

    The run's state, mode and clock are left as they end.
    """
    s.pace[PACE_STEP], s.pace[PACE_TOLERANCE] = options[O_FIRST], options[O_TOLERANCE]
    write_row(output, run)
    how = GOES_ON
    event = SETTLE
    while how == GOES_ON:
        if event != NOTHING:
            how = settle(guards, react, event, output, run, s)
            s.pace[PACE_STEP] = min(s.pace[PACE_STEP], options[O_RESTART])
            s.pace[PACE_SINCE] = 0.0
            event = NOTHING
            continue
        due, when = next_due(run.clock, options[O_END])
        t = run.clock[0]
        if when - t <= _BARELY * max(abs(t), 1e-3):
            event = -1 - due
            how = REACHED if due < 0 else GOES_ON
            continue
        field(run.y, run.p, run.mode, s.slope, s.jacobian, True)
        weigh(run.y, run.p, s.weights)
        tolerance = patient(options, s)
        for i in range(s.weights.shape[0]):
            s.weights[i] *= tolerance
        guard, used = stride(field, guards, when - t, output, run, s)
        if used <= 0.0:
            spent = output.tally[STEPS] + output.tally[REJECTED] >= output.tally[BUDGET]
            return BUDGET_SPENT if spent else STEP_TOO_SMALL
        take(run, s)
        run.clock[0] = when if used == when - t else t + used
        write_row(output, run)
        event = guard if guard >= 0 else NOTHING
        if output.tally[ROWS] >= output.rows.shape[0]:
            return ROWS_FULL
    return how
