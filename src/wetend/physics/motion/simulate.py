"""Run a pump in time, one or many at once."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from wetend.errors import NoAnswer
from wetend.physics.motion import integrator as run
from wetend.physics.motion import layout as at
from wetend.physics.motion import observe as seen
from wetend.physics.motion.parameters import MotionParameters
from wetend.physics.motion.rosenbrock import Run
from wetend.physics.motion.start import Start, at_bottom, stalled
from wetend.physics.motion.turns import guards, react
from wetend.physics.motion.weights import weigh
from wetend.physics.motion.wet_end import field

Array = NDArray[np.float64]

_STEPS_A_CYCLE = 20_000
_ROWS_A_CYCLE = 4_000
_LONGEST = 1e4


@dataclass(frozen=True, eq=False)
class Stroke:
    """One stroke, from the turn before it to its own."""

    up: bool
    start: float
    end: float
    delivered: float
    """m^3 through the nozzle."""
    drawn: float
    lost: float
    gauge: float
    """Mean reading, Pa."""

    @property
    def time(self) -> float:
        """Duration, s."""
        return self.end - self.start


@dataclass(frozen=True, eq=False)
class Event:
    """Something that happened at an instant."""

    time: float
    which: int


@dataclass(frozen=True, eq=False)
class Trace:
    """A run: arrays with one entry a row; pressures over the atmosphere."""

    t: Array
    x: Array
    v: Array
    foot_lift: Array
    piston_lift: Array
    built: Array
    suction_flow: Array
    seen: Array
    state: Array
    mode: NDArray[np.int64]
    strokes: tuple[Stroke, ...]
    events: tuple[Event, ...]
    steps: int
    rejected: int

    @property
    def below(self) -> Array:
        """Pressure below the piston, Pa."""
        return self.seen[:, seen.O_BELOW]

    @property
    def above(self) -> Array:
        """Pressure above the piston, Pa."""
        return self.seen[:, seen.O_ABOVE]

    @property
    def gauge(self) -> Array:
        """Gauge at the outlet, Pa."""
        return self.seen[:, seen.O_GAUGE]

    @property
    def nozzle_flow(self) -> Array:
        """Sprayed, m^3/s."""
        return self.seen[:, seen.O_NOZZLE]


_ENDINGS = {
    run.BUDGET_SPENT: "The sums did not finish within their budget of steps",
    run.STEP_TOO_SMALL: "The sums came to steps too small to go on",
    run.ROWS_FULL: "The run has more to show than there is room for",
    run.RESTLESS: "A ball or the rod moves to and fro without end",
}


def integrate(
    start: Start, *, t_end: float, rtol: float, cycles: int
) -> tuple[int, Array, Array, NDArray[np.int64]]:
    """Run the compiled model; the start's arrays are left as they end."""
    n = len(start.y)
    output = run.Output(
        np.empty((_ROWS_A_CYCLE * cycles, 1 + n + at.MODES)),
        np.empty((1000 * cycles, 3)),
        np.zeros(run.TALLIES, np.int64),
    )
    output.tally[run.BUDGET] = _STEPS_A_CYCLE * cycles
    options = np.array([t_end, rtol, 1e-5, 1e-4])
    scratch = run.new_scratch(n, sums=at.SUMS, guards=at.GUARDS)
    carried = Run(start.y, start.p, start.mode, start.clock)
    how = run.advance(field, guards, react, weigh, carried, output, scratch, options)
    tally = output.tally
    return how, output.rows[: tally[run.ROWS]], output.marks[: tally[run.EVENTS]], tally


def _strokes(rows: Array, marks: Array, n: int) -> tuple[Stroke, ...]:
    turns = marks[marks[:, 1] == at.G_TURN]
    sums = 1 + n - at.SUMS
    found = []
    before = rows[0]
    for _, _, place in turns:
        row = rows[min(int(place), len(rows) - 1)]
        part = row[sums:] - before[sums:]
        time = max(row[0] - before[0], 1e-12)
        found.append(
            Stroke(
                up=row[1 + n + at.M_WAY] > 0,
                start=float(before[0]),
                end=float(row[0]),
                delivered=float(part[at.DELIVERED]),
                drawn=float(part[at.DRAWN]),
                lost=float(part[at.LOST]),
                gauge=float(part[at.GAUGE_SUM] / time),
            )
        )
        before = row
    return tuple(found)


def _trace(start: Start, rows: Array, marks: Array, tally: NDArray[np.int64]) -> Trace:
    n = len(start.y)
    out = np.empty((len(rows), seen.OBSERVED))
    state = np.ascontiguousarray(rows[:, 1 : 1 + n])
    mode = rows[:, 1 + n :].astype(np.int64)
    seen.observe_rows(state, mode, start.p, out)
    return Trace(
        t=rows[:, 0], x=state[:, at.X], v=state[:, at.V], foot_lift=state[:, at.Z1],
        piston_lift=state[:, at.Z2], built=state[:, at.BUILT], suction_flow=state[:, at.QS],
        seen=out, state=state, mode=mode,
        strokes=_strokes(rows, marks, n),
        events=tuple(Event(float(t), int(w)) for t, w, _ in marks),
        steps=int(tally[run.STEPS]), rejected=int(tally[run.REJECTED]),
    )  # fmt: skip


def simulate(
    parameters: MotionParameters, *, cycles: int = 4, rtol: float = 1e-4, t_end: float = _LONGEST
) -> Trace:
    """Run a pump from the bottom of its stroke for so many cycles, or until ``t_end`` seconds.

    Raises:
        NoAnswer: the sums could not be carried to the end.
    """
    start = at_bottom(parameters, trips=2 * cycles)
    how, rows, marks, tally = integrate(start, t_end=t_end, rtol=rtol, cycles=cycles)
    if how in _ENDINGS:
        raise NoAnswer(f"{_ENDINGS[how]}; change the pump's figures a little and try again.")
    return _trace(start, rows, marks, tally)


def simulate_stall(
    parameters: MotionParameters, *, up: bool, seconds: float = 3.0, rtol: float = 1e-4
) -> Trace:
    """Run a pump stalled half-way against its shut gun."""
    start = stalled(parameters, up=up)
    how, rows, marks, tally = integrate(start, t_end=seconds, rtol=rtol, cycles=4)
    if how in _ENDINGS:
        raise NoAnswer(f"{_ENDINGS[how]}; change the pump's figures a little and try again.")
    return _trace(start, rows, marks, tally)


def simulate_many(
    many: Sequence[MotionParameters], *, threads: int = 2, cycles: int = 4, rtol: float = 1e-4
) -> list[Trace]:
    """Run many pumps, each as :func:`simulate` does, over so many threads."""
    with ThreadPoolExecutor(max_workers=threads) as pool:
        return list(pool.map(partial(simulate, cycles=cycles, rtol=rtol), many))
