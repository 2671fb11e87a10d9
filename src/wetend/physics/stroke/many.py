"""The steady stroke of many pumps: their figures handed to the compiled sums and back."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from wetend.physics.stroke.losses import LossTable
from wetend.physics.stroke.parameters import OneWay, StrokeParameters, StrokeState
from wetend.physics.stroke.rows import ALL, FIGURES, TOGETHER, HoseTable, Law

Array = NDArray[np.float64]
Run = Callable[..., object]
"""As :func:`.kernel.run`."""

WORTH_SHARING = 16_384
"""Pumps from which two threads share them: with fewer, that takes what they save."""
_BESIDE = ThreadPoolExecutor(2, thread_name_prefix="strokes")
"""Does one half beside the caller; its threads are started when first used, and stay."""


def _given(parameters: StrokeParameters) -> tuple[Array, ...]:
    """Columns for the compiled sums, in the order of ``rows``: one number each, or one a pump."""
    drive, line, leaks = parameters.drive, parameters.outlet, parameters.leaks
    columns = (
        drive.stall_force, drive.free_speed, drive.friction, drive.reversal, line.viscosity,
        line.filter_resistance, line.line_resistance, line.nozzle, parameters.filling,
        *(side for rate in (leaks.static, leaks.piston, leaks.foot)
          for side in (rate.laminar, rate.inertial)),
    )  # fmt: skip
    return tuple(
        np.require(np.atleast_1d(column), dtype=np.float64, requirements=("C", "W"))
        for column in columns
    )


def _hose_table(hose: LossTable) -> HoseTable:
    """The table as the compiled sums read it: one of a single row stands over a row of zeros."""
    losses, scales = hose.losses, hose.scales
    if len(scales) == 1:
        losses, scales = np.vstack([np.zeros_like(losses), losses]), (0.0, 1.0)
    return HoseTable(
        np.require(losses.ravel(), requirements=("C", "W")),
        np.array(scales, dtype=float),
        float(hose.step),
    )


def steady_of_many(run: Run, parameters: StrokeParameters, size: int) -> StrokeState:
    """Every pump by the compiled sums: as ``steady``, for a block of pumps or more."""
    leaks = parameters.leaks
    pump = (float(parameters.upper_area), float(parameters.rod_area),
            float(parameters.drive.stroke))  # fmt: skip
    given, law = _given(parameters), Law(float(leaks.reference), float(leaks.power))
    hose = _hose_table(parameters.outlet.hose)
    out = np.empty((2 * FIGURES + TOGETHER, size))

    def run_span(span: tuple[int, int]) -> None:
        run(given, pump, law, hose, span, (np.empty(ALL), out))

    if size < WORTH_SHARING:
        run_span((0, size))
    else:
        half = _BESIDE.submit(run_span, (0, size // 2))  # they let go of the interpreter
        run_span((size // 2, size))
        half.result()
    return StrokeState(OneWay(*out[:FIGURES]), OneWay(*out[FIGURES : 2 * FIGURES]),
                       *out[2 * FIGURES :])  # fmt: skip
