"""The steady model's figures brought to those of the model in time, by one run of the sound pump.

The hose holds its pressure from stroke to stroke, so a pump whose areas differ a little strokes
more unevenly than stroke by stroke sums say. One run in time of the sound pump gives the ratios;
they are taken to hold for the faulty one, and what they miss is in the readings' errors.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wetend.advice.fault_finding.faults import Prediction
from wetend.advice.pump_physics import stroke_parameters
from wetend.advice.simulation import SETTLING, motion_parameters
from wetend.errors import WetendError
from wetend.physics.motion.simulate import simulate
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.parameters import StrokeState
from wetend.physics.stroke.steady import steady
from wetend.pump.description import Pump
from wetend.units.quantity import Ratio

Array = NDArray[np.float64]

PAUSE_SEEN: Ratio = 0.3
"""Share of a longer pause at the turns by which strokes take longer: the hose feeds the nozzle, and
the rod makes up for it after. From runs of the model in time with both demo pumps."""
_CYCLES = 3
_MOST = 1.5


@dataclass(frozen=True)
class Trim:
    """Figures of the model in time over the steady model's, sound pump."""

    up_time: Ratio = 1.0
    down_time: Ratio = 1.0
    spray_pressure: Ratio = 1.0
    cycle_volume: Ratio = 1.0


@dataclass(frozen=True, eq=False)
class Spraying:
    """What a spraying pump reads, trimmed."""

    up_time: Array
    down_time: Array
    gauge: Array
    cycle_rate: Array
    cycle_volume: Array

    @property
    def flow(self) -> Array:
        """Mean over the cycle."""
        return self.cycle_volume * self.cycle_rate


def _held(ratio: float) -> float:
    return min(max(ratio, 1.0 / _MOST), _MOST)


@lru_cache(maxsize=128)
def trim_of(pump: Pump, liquid: Liquid) -> Trim:
    """The trim of this pump with this liquid; none where the run in time has no answer."""
    state = steady(stroke_parameters(pump, liquid))
    try:
        trace = simulate(motion_parameters(pump, liquid), cycles=_CYCLES + SETTLING)
    except WetendError:  # too odd a pump for the model in time: the steady figures stand
        return Trim()
    strokes = trace.strokes[2 * SETTLING :]
    ups, downs = [s for s in strokes if s.up], [s for s in strokes if not s.up]
    if not ups or not downs or float(state.flow[0]) <= 0:
        return Trim()
    up, down = (float(np.mean([s.time for s in way])) for way in (ups, downs))
    volume = sum(float(np.mean([s.delivered for s in way])) for way in (ups, downs))
    gauge = float(np.mean([s.gauge for s in strokes]))
    ratios = (
        up / float(state.up.time[0]), down / float(state.down.time[0]),
        gauge / max(float(state.gauge[0]), 1.0),
        volume * float(state.cycle_rate[0]) / float(state.flow[0]),
    )  # fmt: skip
    return Trim(*(_held(r) for r in ratios)) if np.all(np.isfinite(ratios)) else Trim()


def trimmed(state: StrokeState, trim: Trim, *, pause: float | Array = 0.0) -> Spraying:
    """A spraying pump's figures as the model in time has them.

    Args:
        state: from the steady model, with :data:`PAUSE_SEEN` of the pause in its times.
        trim: of this pump and liquid.
        pause: s longer than described at each end.
    """
    up, down = state.up.time * trim.up_time, state.down.time * trim.down_time
    rate = 1.0 / (up + down)
    sag = 1.0 + PAUSE_SEEN * np.asarray(pause) * 2.0 * rate
    return Spraying(
        up_time=up,
        down_time=down,
        gauge=state.gauge * trim.spray_pressure / sag,
        cycle_rate=rate,
        cycle_volume=state.flow / state.cycle_rate * trim.cycle_volume,
    )


def as_prediction(state: StrokeState, trim: Trim) -> Prediction:
    """The readings of one pump."""
    seen = trimmed(state, trim)
    return Prediction(
        up_time=float(seen.up_time[0]),
        down_time=float(seen.down_time[0]),
        spray_pressure=float(seen.gauge[0]),
        stall_pressure=float(state.stall_pressure[0]),
        creep_up=float(state.up.creep[0]),
        creep_down=float(state.down.creep[0]),
        flow=float(seen.flow[0]),
        cycle_rate=float(seen.cycle_rate[0]),
    )
