"""How far the hose's give moves the sound pump's strokes: ratios for sums stroke by stroke."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from wetend.advice.diagnosis.faults import Prediction
from wetend.advice.diagnosis.hose_compliance import Spraying, spraying
from wetend.advice.pump_physics import stroke_parameters
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.parameters import StrokeState
from wetend.physics.stroke.steady import steady
from wetend.pump.description import Pump
from wetend.units.quantity import Ratio

_MOST = 1.5


@dataclass(frozen=True)
class Trim:
    """Figures with the hose's give over those without, sound pump."""

    up_time: Ratio = 1.0
    down_time: Ratio = 1.0
    spray_pressure: Ratio = 1.0
    cycle_volume: Ratio = 1.0


def _held(ratio: float) -> float:
    return min(max(ratio, 1.0 / _MOST), _MOST)


@lru_cache(maxsize=128)
def trim_of(pump: Pump, liquid: Liquid) -> Trim:
    """The trim of this pump with this liquid."""
    parameters = stroke_parameters(pump, liquid)
    state = steady(parameters)
    seen = spraying(pump, parameters, state)
    ratios = (
        seen.up_time / state.up.time, seen.down_time / state.down.time,
        seen.gauge / np.maximum(state.gauge, 1.0),
        seen.cycle_volume * state.cycle_rate / np.maximum(state.flow, 1e-15),
    )  # fmt: skip
    found = [float(r[0]) for r in ratios]
    return Trim(*(_held(r) for r in found)) if np.all(np.isfinite(found)) else Trim()


def as_prediction(state: StrokeState, seen: Spraying) -> Prediction:
    """The readings of one pump."""
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
