"""Where a block of pumps keeps its figures: one row of so many numbers for each.

One piece of memory with rows at places known when it is compiled: that is what lets a processor
work on several pumps at once.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LANES = 128
"""Pumps in a block: as many as stay in a processor's nearest memory."""

GIVEN = 15
"""What is given for a pump: the first rows, in this order."""
FIGURES = 10
"""What is worked out for one way: as many rows from ``SPEED`` on, in the order of ``OneWay``."""
TOGETHER = 4
"""What is worked out for both ways: rows from ``RATE`` on, in the order of ``StrokeState``."""

(FORCE, FREE, FRICTION, REVERSAL, VISCOSITY, FILTER, LINE, NOZZLE, FILLING,
 STATIC_SLOW, STATIC_FAST, PISTON_SLOW, PISTON_FAST, FOOT_SLOW, FOOT_FAST,
 TABLE_ROW, SHARE, STRAIGHT,
 VALVE_SLOW, VALVE_FAST, PULL, REACH, SWEEP, PAST, PAST_STEEP, OUT, OUT_STEEP,
 RATIO, RAISED, X, STALLED, ROOT, LOWER, RISE, WITHIN, STEEP, UNDONE,
 SPEED, TIME, PRESSURE, GAUGE, AT_NOZZLE, FLOW, PAST_FLOW, OUT_FLOW, STALL, CREEP,
 UP_SPEED, UP_TIME, UP_GAUGE, UP_FLOW, UP_STALL,
 RATE, MEAN_FLOW, MEAN_GAUGE, MEAN_STALL,
 ALL) = range(0, 57 * LANES, LANES)  # fmt: skip
"""Where each row begins; ``ALL`` is how many numbers there are."""


class Law(NamedTuple):
    """How leaks grow with pressure."""

    reference: float
    """Pressure at which they are given, Pa."""
    power: float


class HoseTable(NamedTuple):
    """A hose's table of losses, row after row, as ``losses.LossTable``; two rows at least."""

    losses: Array
    scales: Array
    step: float
