"""The steady stroke compiled, for many pumps at once: the same model as in ``steady``.

Pumps are taken a block at a time through a few steps together (``block``), which a processor does
on several numbers at once; the few pumps that leaves unfinished, under one in a hundred, are solved
alone (``alone``). Tests hold either to the plain form and all of them to Brent's method.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np

from wetend.jit.kinds import Nothing, Real, Reals, Table, Whole, compiled, inner, reals, several
from wetend.jit.loading import CompiledFunctions
from wetend.physics.stroke.alone import spray_alone, stall_alone
from wetend.physics.stroke.block import prepare, spray, stall
from wetend.physics.stroke.losses import LossTable
from wetend.physics.stroke.parameters import OneWay, StrokeParameters, StrokeState
from wetend.physics.stroke.rows import (
    ALL,
    AT_NOZZLE,
    CREEP,
    FIGURES,
    FILLING,
    FILTER,
    FLOW,
    FOOT_FAST,
    FOOT_SLOW,
    FREE,
    GAUGE,
    GIVEN,
    HOSE,
    LANES,
    LAW,
    LINE,
    MEAN_FLOW,
    MEAN_GAUGE,
    MEAN_STALL,
    NOZZLE,
    PISTON_FAST,
    PISTON_SLOW,
    PRESSURE,
    PULL,
    RATE,
    REACH,
    REVERSAL,
    SHARE,
    SLOWEST,
    SPEED,
    STALL,
    STALLED,
    STRAIGHT,
    TABLE_ROW,
    TIME,
    TOGETHER,
    UNDONE,
    UP_FLOW,
    UP_GAUGE,
    UP_SPEED,
    UP_STALL,
    UP_TIME,
    VALVE_FAST,
    VALVE_SLOW,
    VISCOSITY,
    Array,
    HoseTable,
    Law,
    X,
)
from wetend.units.message import Message

GIVEN_COLUMNS = several(*(Reals,) * GIVEN)
WORTH_SHARING = 16_384
"""Pumps from which two threads share them: with fewer, that takes what they save."""
BESIDE = ThreadPoolExecutor(2, thread_name_prefix="strokes")
"""Does one half beside the caller; its threads are started when first used, and stay."""


@inner(Nothing(Reals, GIVEN_COLUMNS, Whole, HOSE), fused=True)
def _load(w: Array, given: tuple[Array, ...], first: int, hose: HoseTable) -> None:
    """Put a block's figures into their rows, and find each pump's row of the hose's table."""
    for figure in range(GIVEN):
        column, row = given[figure], figure * LANES
        if len(column) == 1:
            for j in range(LANES):
                w[row + j] = column[0]
        else:
            for j in range(LANES):
                w[row + j] = column[first + j]
    scales = hose.scales
    for j in range(LANES):
        scale, at = w[VISCOSITY + j], 0
        while at < len(scales) - 2 and scale > scales[at + 1]:
            at += 1
        w[TABLE_ROW + j] = at
        w[SHARE + j] = (scale - scales[at]) / (scales[at + 1] - scales[at])
        w[STRAIGHT + j] = w[FILTER + j] + w[LINE + j]


@inner(Nothing(Reals, Real), fused=True)
def _tell(w: Array, stroke: float) -> None:
    """What is read off one way."""
    for j in range(LANES):
        flow, stalled, free = w[FLOW + j], w[STALLED + j], w[FREE + j]
        speed = max(w[X + j] * free, SLOWEST)
        w[SPEED + j] = speed
        w[TIME + j] = stroke / speed + w[REVERSAL + j]
        w[GAUGE + j] = max(w[PRESSURE + j] - w[FILTER + j] * flow, 0.0)
        w[AT_NOZZLE + j] = w[NOZZLE + j] * flow * flow
        w[STALL + j] = w[PULL + j] * max(w[REACH + j] - stalled * stalled, 0.0)
        w[CREEP + j] = stalled * free


@inner(Nothing(Reals, Real, Real, LAW, HOSE), fused=True)
def _way(w: Array, area: float, stroke: float, law: Law, hose: HoseTable) -> None:
    """One way of the stroke for a block; the valve's leak is in its place."""
    prepare(w, area)
    stall(w, law)
    for j in range(LANES):
        if w[UNDONE + j] != 0.0:
            w[X + j] = stall_alone(w, j, law)
        w[STALLED + j] = w[X + j]
    spray(w, law, hose)
    for j in range(LANES):
        if w[UNDONE + j] != 0.0:
            spray_alone(w, j, law, hose)
    _tell(w, stroke)


@inner(Nothing(Reals), fused=True)
def _set_up(w: Array) -> None:
    """Lay the up-stroke's figures by, for the cycle."""
    for j in range(LANES):
        w[UP_SPEED + j] = w[SPEED + j]
        w[UP_TIME + j] = w[TIME + j]
        w[UP_GAUGE + j] = w[GAUGE + j]
        w[UP_FLOW + j] = w[FLOW + j]
        w[UP_STALL + j] = w[STALL + j]


@inner(Nothing(Reals, Real), fused=True)
def _starve(w: Array, stroke: float) -> None:
    """The down-stroke of a cylinder not filled: free until the piston meets liquid."""
    for j in range(LANES):
        share = min(max(w[FILLING + j], 0.0), 1.0)
        quick = stroke * (1.0 - share) / max(w[FREE + j], SLOWEST)
        w[FILLING + j] = share
        w[TIME + j] = quick + stroke * share / w[SPEED + j] + w[REVERSAL + j]


@inner(Nothing(Reals, Whole, Whole), fused=True)
def _choose(w: Array, slow: int, fast: int) -> None:
    """Put this way's valve in its place."""
    for j in range(LANES):
        w[VALVE_SLOW + j] = w[slow + j]
        w[VALVE_FAST + j] = w[fast + j]


@inner(Nothing(Reals, Real, Real), fused=True)
def _cycle(w: Array, upper_area: float, stroke: float) -> None:
    """What both ways give together, as ``steady``."""
    for j in range(LANES):
        share = w[FILLING + j]
        up_run, down_run = stroke / w[UP_SPEED + j], share * stroke / w[SPEED + j]
        cycle = w[UP_TIME + j] + w[TIME + j]
        delivered = w[UP_FLOW + j] * up_run + w[FLOW + j] * down_run
        drawn_back = (1.0 - share) * stroke * upper_area
        gauge = w[UP_GAUGE + j] * up_run + w[GAUGE + j] * down_run
        w[RATE + j] = 1.0 / cycle
        w[MEAN_FLOW + j] = max(delivered - drawn_back, 0.0) / cycle
        w[MEAN_GAUGE + j] = gauge / max(up_run + down_run, 1e-12)
        w[MEAN_STALL + j] = 0.5 * (w[UP_STALL + j] + w[STALL + j])


@inner(Nothing(Reals, Whole, Whole, Table, Whole, Whole), fused=True)
def _keep(w: Array, row: int, count: int, out: Array, figure: int, first: int) -> None:
    """Rows of the block into the answer."""
    for k in range(count):
        for j in range(LANES):
            out[figure + k, first + j] = w[row + k * LANES + j]


@compiled(
    Nothing(GIVEN_COLUMNS, reals(3), LAW, HOSE, several(Whole, Whole), several(Reals, Table)),
    fused=True,
)
def run(
    given: tuple[Array, ...], pump: tuple[float, float, float], law: Law, hose: HoseTable,
    span: tuple[int, int], room: tuple[Array, Array],
) -> None:  # fmt: skip
    """Both ways of the stroke and their cycle, for the pumps of a span: a block of them or more.

    Args:
        given: ``GIVEN`` columns, in the order of ``rows``; one number each, or one a pump.
        pump: upper area, rod area, stroke.
        law: of the leaks.
        hose: its table.
        span: first pump, and the one after the last.
        room: ``ALL`` numbers to work in; then, for answers, rows ``FIGURES`` of the up-stroke,
            ``FIGURES`` of the down-stroke, ``TOGETHER``.
    """
    upper_area, rod_area, stroke = pump
    w, out = room
    for begin in range(span[0], span[1], LANES):
        first = min(begin, span[1] - LANES)
        _load(w, given, first, hose)
        for way in range(2):
            up = way == 0
            _choose(w, PISTON_SLOW if up else FOOT_SLOW, PISTON_FAST if up else FOOT_FAST)
            _way(w, upper_area if up else rod_area, stroke, law, hose)
            if up:
                _set_up(w)
            else:
                _starve(w, stroke)
            _keep(w, SPEED, FIGURES, out, way * FIGURES, first)
        _cycle(w, upper_area, stroke)
        _keep(w, RATE, TOGETHER, out, 2 * FIGURES, first)


NATIVE = (run,)
"""What is compiled."""
COMPILED = CompiledFunctions(__name__, NATIVE, title=Message("compiling the strokes"))
"""One for the process."""


def _given(parameters: StrokeParameters) -> tuple[Array, ...]:
    """Columns for :func:`run`, in the order of ``rows``: one number each, or one a pump."""
    drive, line, leaks = parameters.drive, parameters.outlet, parameters.leaks
    columns = (
        drive.stall_force, drive.free_speed, drive.friction, drive.reversal, line.viscosity,
        line.filter_resistance, line.line_resistance, line.nozzle, parameters.filling,
        *(side for rate in (leaks.static, leaks.piston, leaks.foot)
          for side in (rate.laminar, rate.inertial)),
    )  # fmt: skip
    return tuple(_plain_array(np.atleast_1d(column)) for column in columns)


def _plain_array(values: object) -> Array:
    """An array of the one kind that compiled functions take."""
    return np.require(values, dtype=np.float64, requirements=("C", "W"))


def _hose_table(hose: LossTable) -> HoseTable:
    """The table as :func:`run` reads it: one of a single row stands over a row of zeros."""
    losses, scales = hose.losses, hose.scales
    if len(scales) == 1:
        losses, scales = np.vstack([np.zeros_like(losses), losses]), (0.0, 1.0)
    return HoseTable(_plain_array(losses.ravel()), _plain_array(scales), float(hose.step))


def steady_of_many(
    compiled_run: Callable[..., object], parameters: StrokeParameters, size: int
) -> StrokeState:
    """Every pump by the compiled :func:`run`: as ``steady``, for a block of pumps or more."""
    leaks = parameters.leaks
    pump = (float(parameters.upper_area), float(parameters.rod_area),
            float(parameters.drive.stroke))  # fmt: skip
    given, law = _given(parameters), Law(float(leaks.reference), float(leaks.power))
    hose = _hose_table(parameters.outlet.hose)
    out = np.empty((2 * FIGURES + TOGETHER, size))

    def share(span: tuple[int, int]) -> None:
        compiled_run(given, pump, law, hose, span, (np.empty(ALL), out))

    if size < WORTH_SHARING:
        share((0, size))
    else:
        half = BESIDE.submit(share, (0, size // 2))  # they let go of the interpreter
        share((size // 2, size))
        half.result()
    ways = FIGURES
    return StrokeState(OneWay(*out[:ways]), OneWay(*out[ways : 2 * ways]), *out[2 * ways :])
