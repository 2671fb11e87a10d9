"""How far the hose's compliance moves a sound pump's strokes: ratios for steady strokes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wetend.advice.hose.compliance import spraying
from wetend.advice.pump_physics import stroke_parameters
from wetend.keeping import MB, kept
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.steady import steady
from wetend.pump.description import Pump
from wetend.units.quantity import Ratio

_MOST = 1.5


@dataclass(frozen=True)
class Trim:
    """Figures with the hose's compliance over those without, of a sound pump."""

    up_time: Ratio = 1.0
    down_time: Ratio = 1.0
    spray_pressure: Ratio = 1.0
    cycle_volume: Ratio = 1.0


def _held(ratio: float) -> float:
    return min(max(ratio, 1.0 / _MOST), _MOST)


@kept("trims for the hose", most=8 * MB)
def trim_of(pump: Pump, liquid: Liquid) -> Trim:
    """The trim of this pump with this liquid."""
    parameters = stroke_parameters(pump, liquid)
    state = steady(parameters)
    seen = spraying(pump, liquid, parameters, state)
    ratios = (
        seen.up_time / state.up.time, seen.down_time / state.down.time,
        seen.gauge / np.maximum(state.gauge, 1.0),
        seen.cycle_volume * state.cycle_rate / np.maximum(state.flow, 1e-15),
    )  # fmt: skip
    found = [float(r[0]) for r in ratios]
    return Trim(*(_held(r) for r in found)) if np.all(np.isfinite(found)) else Trim()
