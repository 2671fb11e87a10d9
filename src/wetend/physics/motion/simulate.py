r"""Run a pump in time.

Where this model and the steady one part. Over a thousand random pumps, sound and leaking, stroke
times and flow of both models agree within 2 % while what the steady model leaves out is small. It
leaves out, and this model reports:

- the hose's compliance. A hose that gains a volume C for each pascal carries its pressure on for
  the time below, by the slopes of nozzle and drive; steady strokes need far longer. Fifteen metres
  of spray hose hold about a stroke's delivery, so that up-stroke and down-stroke share one
  pressure: a leak on one way then quickens both, and the rhythm stays nearly even where the steady
  model has it limp;
- the stand at each turn. The hose sprays on while the rod stands, and the rod makes up for it;
- the compression of the liquid. The cylinder's content shrinks by p/B and by its air before it
  delivers: the steady model takes that in as a share of the cylinder not filled;
- the balls. Each gives its own lift times its seat's area back at every turn (up to 1 % of a small
  pump's displacement), and a late ball far more;
- a starved cylinder, whose filling comes out here and has to be put in there;
- rods near stall, where a per cent of pressure is many per cent of speed;
- an electric drive's setting. It lets go over the twentieth above the pressure set, either way,
  where a steady rod stalls at its force over each way's area.

Both let every drive's force fall with the square of its speed. A hydraulic drive keeps its force
until its flow gives out, and sprays steadier than either says: the model in time takes another
power of the speed (``Drive.droop``), the steady one does not.

.. math:: \tau = \frac{C}{\partial Q_n/\partial p + A\,|\partial v/\partial p|}

Source: derived here, by linearising the balance of the hose.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.errors import BadInput, NoAnswer
from wetend.physics.motion import instant as seen
from wetend.physics.motion import integrator as run
from wetend.physics.motion import layout as at
from wetend.physics.motion.engines import ENGINES, PLAIN, Engine
from wetend.physics.motion.packing import highest_pressure
from wetend.physics.motion.parameters import MotionParameters
from wetend.physics.motion.rosenbrock import Run
from wetend.physics.motion.start import Start, at_bottom, stalled
from wetend.units.message import Message
from wetend.units.quantity import S

Array = NDArray[np.float64]

DEFAULT_TOLERANCE = 2e-3
"""Relative error of a step; stroke times come out within about a hundredth of it."""
_STEPS_A_CYCLE = 20_000
_MOST_STEPS = 2_000_000
_MOST_CYCLES = 1000
_PLAIN_STEPS = 4000
_PATIENCE = 400.0
_SLOWEST: S = 60.0
"""A cycle longer than this, and than forty on the free-running drive, is not waited for."""
_BEARABLE = 0.25
"""Highest pressure over bulk modulus that the linear give of the liquid stands for."""


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


_ENDINGS = {
    run.BUDGET_SPENT: Message("The sums did not finish within their budget of steps"),
    run.STEP_TOO_SMALL: Message("The sums came to steps too small to go on"),
    run.ROWS_FULL: Message("The run has more to show than there is room for"),
    run.RESTLESS: Message("A ball or the rod moves to and fro without end"),
}


Ran = tuple[int, Array, Array, NDArray[np.int64]]
"""How a run ended, rows of time, state and mode, events (time, which, row), and the tally."""


def carry(engine: Engine, start: Start, options: Array, budget: int) -> Ran:
    """Run the model with this engine and budget; the start's arrays are left as they end."""
    n = len(start.y)
    output = run.Output(
        np.empty((2 * budget, 1 + n + at.MODES)),
        np.empty((budget, 3)),
        np.zeros(run.TALLIES, np.int64),
    )
    output.tally[run.BUDGET] = budget
    scratch = run.new_scratch(n, sums=at.SUMS, guards=at.GUARDS)
    carried = Run(start.y, start.p, start.mode, start.clock)
    how = engine.run(carried, output, scratch, options)
    rows = output.rows[: output.tally[run.ROWS]].copy()
    marks = output.marks[: output.tally[run.EVENTS]].copy()
    return how, rows, marks, output.tally


def integrate(start: Start, *, t_end: float, rtol: float, cycles: int) -> Ran:
    """Run the model; the start's arrays are left as they end.

    While the compiled functions are still being made the plain ones do it, unless it takes many
    steps: then these are waited for.
    """
    budget = min(_STEPS_A_CYCLE * cycles, _MOST_STEPS)
    options = np.array([t_end, rtol, 1e-5, 1e-4, _PATIENCE])
    engine = ENGINES.at_hand()
    if engine is PLAIN:
        begun = Start(start.p, start.y.copy(), start.mode.copy(), start.clock.copy())
        found = _plainly(begun, options, min(budget, _PLAIN_STEPS))
        if found is not None:
            start.y[:], start.mode[:], start.clock[:] = begun.y, begun.mode, begun.clock
            return found
        engine = ENGINES.compiled()
    return carry(engine, start, options, budget)


def _plainly(start: Start, options: Array, budget: int) -> Ran | None:
    """A run without a compiler; ``None`` if that takes too long or meets what has no value."""
    try:
        found = carry(PLAIN, start, options, budget)
    except (ArithmeticError, ValueError):
        return None
    return None if found[0] in (run.BUDGET_SPENT, run.ROWS_FULL) else found


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
    ENGINES.at_hand().observe(state, mode, start.p, out)
    return Trace(
        t=rows[:, 0], x=state[:, at.X], v=state[:, at.V], foot_lift=state[:, at.Z1],
        piston_lift=state[:, at.Z2], built=state[:, at.BUILT], suction_flow=state[:, at.QS],
        seen=out, state=state, mode=mode,
        strokes=_strokes(rows, marks, n),
        events=tuple(Event(float(t), int(w)) for t, w, _ in marks),
        steps=int(tally[run.STEPS]), rejected=int(tally[run.REJECTED]),
    )  # fmt: skip


def _check(parameters: MotionParameters, rtol: float) -> None:
    """Refuse what the sums don't stand for.

    Raises:
        NoAnswer: the drive could press the liquid to where its give is no longer linear.
        BadInput: the tolerance is not between 1e-12 and 0.1.
    """
    highest = highest_pressure(parameters)
    if not highest < _BEARABLE * parameters.liquid.bulk_modulus:
        raise NoAnswer(
            Message(
                "This drive could press {highest:.0f} bar, beyond what the model of the "
                "liquid bears; look at its supply pressure and ratio again.",
                highest=highest / 100000.0,
            )
        )
    if not 1e-12 <= rtol <= 0.1:
        raise BadInput(Message("The tolerance must lie between 1e-12 and 0.1."))


def _finish(start: Start, *, t_end: float, rtol: float, cycles: int) -> Trace:
    how, rows, marks, tally = integrate(start, t_end=t_end, rtol=rtol, cycles=cycles)
    if how in _ENDINGS:
        raise NoAnswer(
            Message(
                "{endings}; change the pump's figures a little and try again.",
                endings=_ENDINGS[how],
            )
        )
    return _trace(start, rows, marks, tally)


def simulate(
    parameters: MotionParameters,
    *,
    cycles: int = 4,
    rtol: float = DEFAULT_TOLERANCE,
    t_end: S | None = None,
) -> Trace:
    """Run a pump from the bottom of its stroke for so many cycles, or until ``t_end`` seconds.

    A pump that does not come round (a shut gun, a blocked hose, a drive too weak) is run for a
    minute a cycle, or forty times a cycle of the free-running drive; its strokes are then fewer.

    Args:
        parameters: the pump.
        cycles: most cycles, from 1 to 1000.
        rtol: relative error of a step; stroke times come out a hundred times closer.
        t_end: end, s.

    Raises:
        NoAnswer: the sums could not be carried to the end.
        BadInput: the tolerance or the number of cycles is out of range.
    """
    _check(parameters, rtol)
    if not 1 <= cycles <= _MOST_CYCLES:
        raise BadInput(
            Message("The model in time runs 1 to {most_cycles} cycles.", most_cycles=_MOST_CYCLES)
        )
    free = 2 * parameters.chambers.stroke / parameters.drive.free_speed
    slowest = cycles * max(_SLOWEST, 40 * (free + 2 * parameters.drive.reversal))
    start = at_bottom(parameters, trips=2 * cycles)
    return _finish(start, t_end=slowest if t_end is None else t_end, rtol=rtol, cycles=cycles)


def simulate_stall(
    parameters: MotionParameters, *, up: bool, seconds: S = 3.0, rtol: float = DEFAULT_TOLERANCE
) -> Trace:
    """Run a pump stalled half-way against its shut gun, until then or until it gets to its end.

    Raises:
        NoAnswer: the sums could not be carried to the end.
        BadInput: the tolerance is out of range.
    """
    _check(parameters, rtol)
    return _finish(stalled(parameters, up=up), t_end=seconds, rtol=rtol, cycles=4)
