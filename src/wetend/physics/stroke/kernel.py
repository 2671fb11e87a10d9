"""The steady stroke compiled, for many pumps at once: the same sums as in ``steady``.

Pumps are taken a block at a time through a few steps together (``block``), which a processor does
on several numbers at once; the few pumps that leaves unfinished are solved alone (``alone``).

Compiled at its first call and kept on disk where a folder can be written, where
``python -m wetend.physics.stroke.kernel`` keeps it as object code too; few pumps go the plain way,
so nobody waits for a compiler to see a single answer.
"""

from __future__ import annotations

import numpy as np

from wetend.physics.stroke.alone import spray_alone, stall_alone
from wetend.physics.stroke.block import prepare, spray, stall
from wetend.physics.stroke.compiled import inner, kept
from wetend.physics.stroke.kept import OBJECT_FILE
from wetend.physics.stroke.object_making import keep
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
    LANES,
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

_SLOWEST = 1e-9


@inner
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


@inner
def _tell(w: Array, stroke: float) -> None:
    """What is read off one way."""
    for j in range(LANES):
        flow, stalled, free = w[FLOW + j], w[STALLED + j], w[FREE + j]
        speed = max(w[X + j] * free, _SLOWEST)
        w[SPEED + j] = speed
        w[TIME + j] = stroke / speed + w[REVERSAL + j]
        w[GAUGE + j] = max(w[PRESSURE + j] - w[FILTER + j] * flow, 0.0)
        w[AT_NOZZLE + j] = w[NOZZLE + j] * flow * flow
        w[STALL + j] = w[PULL + j] * max(w[REACH + j] - stalled * stalled, 0.0)
        w[CREEP + j] = stalled * free


@inner
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


@inner
def _set_up(w: Array) -> None:
    """Lay the up-stroke's figures by, for the cycle."""
    for j in range(LANES):
        w[UP_SPEED + j] = w[SPEED + j]
        w[UP_TIME + j] = w[TIME + j]
        w[UP_GAUGE + j] = w[GAUGE + j]
        w[UP_FLOW + j] = w[FLOW + j]
        w[UP_STALL + j] = w[STALL + j]


@inner
def _starve(w: Array, stroke: float) -> None:
    """The down-stroke of a cylinder not filled: free until the piston meets liquid."""
    for j in range(LANES):
        share = min(max(w[FILLING + j], 0.0), 1.0)
        quick = stroke * (1.0 - share) / max(w[FREE + j], _SLOWEST)
        w[FILLING + j] = share
        w[TIME + j] = quick + stroke * share / w[SPEED + j] + w[REVERSAL + j]


@inner
def _choose(w: Array, slow: int, fast: int) -> None:
    """Put this way's valve in its place."""
    for j in range(LANES):
        w[VALVE_SLOW + j] = w[slow + j]
        w[VALVE_FAST + j] = w[fast + j]


@inner
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


@inner
def _keep(w: Array, row: int, count: int, out: Array, figure: int, first: int) -> None:
    """Rows of the block into the answer."""
    for k in range(count):
        for j in range(LANES):
            out[figure + k, first + j] = w[row + k * LANES + j]


@kept
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


def warm_up() -> None:
    """Run a block once, so that what is compiled is ready."""
    given = tuple(np.ones(1) for _ in range(GIVEN))
    hose = HoseTable(np.ones(8), np.array([0.0, 1.0]), 1.0)
    room = np.empty(ALL), np.empty((2 * FIGURES + TOGETHER, LANES))
    run(given, (1.0, 1.0, 1.0), Law(1.0, 1.5), hose, (0, LANES), room)


def main() -> None:
    """Compile, and keep the object code where there is a place for it."""
    warm_up()
    if OBJECT_FILE is not None:
        keep(OBJECT_FILE, {"run": run})


if __name__ == "__main__":
    main()
