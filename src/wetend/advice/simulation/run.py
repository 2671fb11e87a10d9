"""Runs the simulation of a described pump and coating with faults of given sizes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wetend.physics.motion.parameters import MotionParameters
from wetend.physics.motion.simulate import Trace, simulate_stall
from wetend.units.quantity import CycleRate, M3PerS, MPerS, Pa, S

SETTLING = 2
"""Cycles run before those calculated."""
STALL_SECONDS: S = 4.0


@dataclass(frozen=True)
class Summary:
    """Figures of a run, means over the cycles evaluated; ``None`` if the rod did not stroke."""

    up_time: S | None
    down_time: S | None
    cycle_rate: CycleRate | None
    flow: M3PerS | None
    """Sprayed."""
    drawn: M3PerS | None
    """Drawn in from the tin."""
    lost: M3PerS | None
    """To the outside."""
    gauge: Pa
    """Mean reading of the run."""
    stall_up: Pa
    """Gauge with the gun shut, the drive pulling up."""
    stall_down: Pa
    creep_up: MPerS
    """Of the rod at stall."""
    creep_down: MPerS


def stall(parameters: MotionParameters, *, up: bool) -> tuple[Pa, MPerS]:
    """Gauge and creep of the rod, stalled half-way with the gun shut, once that has settled.

    Raises:
        NoAnswer: the calculation could not be finished.
    """
    trace = simulate_stall(parameters, up=up, seconds=STALL_SECONDS)
    end = float(trace.t[-1])
    late = 0.4 * end
    gone = float(trace.x[-1] - np.interp(late, trace.t, trace.x))
    creep = (gone if up else -gone) / max(end - late, 1e-9)
    return float(np.interp(0.95 * end, trace.t, trace.gauge)), max(creep, 0.0) + 0.0


def summarise(parameters: MotionParameters, trace: Trace) -> Summary:
    """The figures of a run, its first cycles left out, with both stalls.

    Raises:
        NoAnswer: the calculation could not be finished.
    """
    strokes = trace.strokes[2 * SETTLING :]
    pairs = [(u, d) for u, d in zip(strokes[::2], strokes[1::2], strict=False)]
    stall_up, creep_up = stall(parameters, up=True)
    stall_down, creep_down = stall(parameters, up=False)
    time = sum(s.time for pair in pairs for s in pair)

    def rate(name: str) -> float | None:
        whole = sum(float(getattr(s, name)) for pair in pairs for s in pair)
        return whole / time if pairs else None

    span = max(float(trace.t[-1] - trace.t[0]), 1e-9)
    return Summary(
        up_time=float(np.mean([u.time for u, _ in pairs])) if pairs else None,
        down_time=float(np.mean([d.time for _, d in pairs])) if pairs else None,
        cycle_rate=len(pairs) / time if pairs else None,
        flow=rate("delivered"),
        drawn=rate("drawn"),
        lost=rate("lost"),
        gauge=float(np.trapezoid(trace.gauge, trace.t)) / span,
        stall_up=stall_up,
        stall_down=stall_down,
        creep_up=creep_up,
        creep_down=creep_down,
    )
