"""The same pump, run by other people's solvers: SciPy's and SUNDIALS CVODE.

They get the same compiled right-hand side, Jacobian, guards and reactions, segment by segment from
event to event, so that nothing differs but the integration itself.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from sksundae.cvode import CVODE

from wetend.jit.compiling import made
from wetend.physics.motion import layout as at
from wetend.physics.motion import turns, weights, wet_end
from wetend.physics.motion.parameters import MotionParameters
from wetend.physics.motion.start import Start, at_bottom

Array = NDArray[np.float64]
slopes, guards = made(wet_end.field), made(turns.guards)
react, weigh = made(turns.react), made(weights.weigh)


@dataclass(eq=False)
class Problem:
    """One segment's functions, in the shapes the solvers want, with the arrays they share."""

    start: Start
    calls: int = 0
    rows: Array = field(init=False)
    unused: Array = field(init=False)

    def __post_init__(self) -> None:
        n = len(self.start.y)
        self.rows = np.zeros((n, n - at.SUMS))
        self.unused = np.zeros(n)

    def slopes(self, _: float, y: Array) -> Array:
        self.calls += 1
        out = np.empty(len(y))
        slopes(np.ascontiguousarray(y), self.start.p, self.start.mode, out, self.rows, False)
        return out

    def jacobian(self, _: float, y: Array) -> Array:
        slopes(np.ascontiguousarray(y), self.start.p, self.start.mode, self.unused, self.rows, True)
        return np.hstack([self.rows, np.zeros((len(y), at.SUMS))])

    def guards(self, y: Array) -> Array:
        found = np.empty(at.GUARDS)
        guards(np.ascontiguousarray(y), self.start.p, self.start.mode, found)
        return found


Segment = Callable[[Problem, float, float, list[int]], tuple[float, Array, int]]
"""Integrate from one time towards another; gives the time reached, the state, and which of the
guards listed ended it, or -1."""


def settle(problem: Problem, t: float, which: int | None = None) -> bool:
    """React to an event and to every guard then below nought; whether the run is over."""
    start = problem.start
    for _ in range(12):
        if which is not None and react(which, t, start.y, start.p, start.mode, start.clock):
            return True
        below = np.flatnonzero(problem.guards(start.y) < 0.0)
        if not len(below):
            return False
        which = int(below[0])
    raise RuntimeError("the mode does not settle")


def march(
    start: Start, segment: Segment, *, t_end: float = 1e3, counted: list[int] | None = None
) -> list[tuple[float, Array]]:
    """Run to the last turn wanted; gives time and state at every turn, and counts slopes."""
    problem = Problem(start)
    t, turns = 0.0, []
    over = settle(problem, t)
    while not over and t < t_end:
        due = int(np.argmin(start.clock[1:])) + 1
        when = min(float(start.clock[due]), t_end)
        watched = [i for i in range(at.GUARDS) if problem.guards(start.y)[i] != 1.0]
        t, y, which = segment(problem, t, when, watched)
        start.y[:] = y
        if which == at.G_TURN:
            turns.append((t, y.copy()))
        over = settle(problem, t, which if which >= 0 else -1 - due) if t < t_end else True
    if counted is not None:
        counted.append(problem.calls)
    return turns


def by_scipy(method: str, rtol: float, weights: Array) -> Segment:
    """A SciPy solver at this tolerance of each state's weight."""

    def segment(
        problem: Problem, t: float, when: float, watched: list[int]
    ) -> tuple[float, Array, int]:
        def watch(index: int) -> Any:
            def guard(_: float, y: Array) -> float:
                return float(problem.guards(y)[index])

            guard.terminal, guard.direction = True, -1.0  # type: ignore[attr-defined]
            return guard

        found = solve_ivp(
            problem.slopes, (t, when), problem.start.y, method=method, jac=problem.jacobian,
            rtol=3e-14, atol=weights * rtol, events=[watch(i) for i in watched], first_step=None,
        )  # fmt: skip
        if found.status < 0:
            raise RuntimeError(found.message)
        if found.status == 1:
            index = next(k for k, times in enumerate(found.t_events) if len(times))
            return float(found.t[-1]), found.y[:, -1], watched[index]
        return when, found.y[:, -1], -1

    return segment


def by_cvode(rtol: float, weights: Array) -> Segment:
    """CVODE (variable-order BDF, dense Newton with the same Jacobian), at this tolerance."""

    def segment(
        problem: Problem, t: float, when: float, watched: list[int]
    ) -> tuple[float, Array, int]:
        start, n = problem.start, len(problem.start.y)

        def rhs(_: float, y: Array, out: Array) -> None:
            problem.calls += 1
            slopes(np.array(y), start.p, start.mode, out, problem.rows, False)

        def jacobian(_: float, y: Array, __: Array, out: Array) -> None:
            slopes(np.array(y), start.p, start.mode, problem.unused, problem.rows, True)
            out[:, : n - at.SUMS] = problem.rows

        def events(_: float, y: Array, out: Array) -> None:
            out[:] = problem.guards(np.array(y))[watched]

        events.terminal = [True] * len(watched)  # type: ignore[attr-defined]
        events.direction = [-1] * len(watched)  # type: ignore[attr-defined]
        watching = {"eventsfn": events, "num_events": len(watched)} if watched else {}
        solver = CVODE(
            rhs, rtol=1e-15, atol=weights * rtol, jacfn=jacobian, max_num_steps=1_000_000,
            **watching,
        )  # fmt: skip
        found = solver.solve(np.array([t, when]), start.y.copy())
        if not found.success:
            raise RuntimeError(found.message)
        hit = found.i_events is not None and len(found.i_events) > 0
        which = watched[int(np.flatnonzero(found.i_events[-1])[0])] if hit else -1
        return (float(found.t[-1]) if hit else when), np.asarray(found.y[-1]), which

    return segment


def stiff_weights(parameters: MotionParameters) -> Array:
    """Weights for solvers that take one set for the whole run: those of the stiffest liquid."""
    start = at_bottom(parameters, trips=1)
    found = np.empty(len(start.y))
    weigh(start.y, start.p, found)
    return found


def strokes_of(turns: list[tuple[float, Array]]) -> Array:
    """Stroke times and volumes delivered, from the turns of a run that started at nought."""
    times = np.diff([0.0, *(t for t, _ in turns)])
    sums = [y[-at.SUMS + at.DELIVERED] for _, y in turns]
    return np.concatenate([times, np.diff([0.0, *sums])])
