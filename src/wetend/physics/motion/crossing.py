"""When a guard first falls below zero within a step."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wetend.jit.kinds import Nothing, Real, Reals, Whole, Wholes, inner, several
from wetend.physics.motion.rosenbrock import (
    PACE_GUARD,
    PACE_LOW,
    RUN,
    SCRATCH,
    Run,
    Scratch,
    at_share,
    prepare_between,
)

Array = NDArray[np.float64]

GUARDS = Nothing(Reals, Reals, Wholes, Reals)
"""Signature of guards: state, parameters, mode, numbers out."""


(BEFORE, AFTER, TRIAL) = range(3)
"""Rows of the guards in the scratch."""


@inner(Real(GUARDS, Whole, Real, RUN, SCRATCH))
def guard_at(guards: Any, which: int, share: float, run: Run, s: Scratch) -> float:
    """One guard at a share of the step, by the dense output."""
    at_share(s.between, share, s.there)
    guards(s.there, run.p, run.mode, s.guards[TRIAL])
    return s.guards[TRIAL, which]


@inner(Real(GUARDS, Whole, Real, RUN, SCRATCH))
def root(guards: Any, which: int, high: float, run: Run, s: Scratch) -> float:
    """Share of the step at which a guard, below zero at ``high``, goes through zero.

    The pace is left holding a share before it, with the guard there.
    Source: the Illinois form of regula falsi, common numerical practice.
    """
    low, g_low = 0.0, s.guards[BEFORE, which]
    g_high = guard_at(guards, which, high, run, s)
    if not g_low > 0.0:
        # it set off from zero: look for where it stood above
        low = 0.5 * high
        for _ in range(20):
            g_low = guard_at(guards, which, low, run, s)
            if g_low > 0.0:
                break
            low *= 0.5
        if not g_low > 0.0:
            return 0.0
    s.pace[PACE_LOW], s.pace[PACE_GUARD] = low, g_low
    for _ in range(40):
        middle = high - g_high * (high - low) / (g_high - g_low)
        if not low < middle < high:
            middle = 0.5 * (low + high)
        g = guard_at(guards, which, middle, run, s)
        if g < 0.0:
            high, g_high = middle, g
            g_low *= 0.5
        else:
            low, g_low = middle, g
            s.pace[PACE_LOW], s.pace[PACE_GUARD] = low, g
            g_high *= 0.5
        if high - low < 1e-4 * high:
            break
    return high


@inner(several(Whole, Real)(GUARDS, RUN, SCRATCH))
def first_crossing(guards: Any, run: Run, s: Scratch) -> tuple[int, float]:
    """The guard that falls below zero first within a step, and at what share of it; or -1."""
    which = -1
    earliest = 1.0
    for i in range(s.guards.shape[1]):
        if s.guards[AFTER, i] < 0.0:
            if which < 0:
                prepare_between(run, s)
            elif guard_at(guards, i, earliest, run, s) >= 0.0:
                continue
            earliest = root(guards, i, earliest, run, s)
            which = i
    return which, earliest
