r"""The steady model's figures put right for the hose's give, by one balance of the sound pump.

Taken stroke by stroke, each way of the pump finds its own pressure. A hose holds its pressure from
stroke to stroke instead, so both ways work against the same, and a pump whose areas differ a little
strokes more unevenly. With the hose's pressure p steady,

.. math:: v_i = v_0 \sqrt{1 - (p A_i + F_f)/F}, \qquad
          Q(p) = \frac{S A_b (1 - x)}{S/v_u + S/v_d + 2 t_r}

where x is what goes into squeezing the coating at each turn and into the balls' closing. The ratios
of the sound pump are taken to hold for a faulty one, and what they miss is in the readings' errors.
Held against the model in time by the tests.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from wetend.advice.fault_finding.faults import Prediction
from wetend.advice.pump_physics import stroke_parameters
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.parameters import StrokeParameters, StrokeState
from wetend.physics.stroke.steady import steady
from wetend.pump.description import Pump
from wetend.units.quantity import Pa, Ratio, S

Array = NDArray[np.float64]

PAUSE_SEEN: Ratio = 0.3
"""Share of a longer pause at the turns by which strokes take longer: the hose feeds the nozzle, and
the rod makes up for it after. From runs of the model in time with both demo pumps."""
BULK_MODULUS, FREE_AIR, CLOSING = 1.6e9, 0.003, 0.012
"""Of a coating (Pa), air it carries undissolved (of its volume), stroke lost to closing balls."""
_MOST, _HALVINGS = 1.5, 50


@dataclass(frozen=True)
class Trim:
    """Figures with the hose's give over those without, sound pump."""

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


def _squeezed(pump: Pump, pressure: Pa) -> Ratio:
    """Share of the stroke that goes into squeezing what is below the piston, and closing balls."""
    spare = pump.cylinder.length - pump.stroke - pump.moving_packings.height
    room = 1.0 + max(0.5 * spare / pump.stroke, 0.1)
    return min((pressure / BULK_MODULUS + FREE_AIR) * room + CLOSING, 0.3)


def _taken(parameters: StrokeParameters, flow: float) -> Pa:
    """Pressure the outlet takes at a flow."""
    outlet = parameters.outlet
    hose = float(outlet.hose.at(np.array([flow]), np.ones(1))[0][0])
    straight = float(outlet.filter_resistance) + float(outlet.line_resistance)
    return hose + (straight + float(outlet.nozzle) * flow) * flow


def _times(parameters: StrokeParameters, pressure: Pa) -> tuple[S, S]:
    """Both strokes' times against one pressure."""
    drive, found = parameters.drive, []
    for area in (parameters.upper_area, parameters.rod_area):
        left = 1.0 - (pressure * area + float(drive.friction)) / float(drive.stall_force)
        speed = float(drive.free_speed) * math.sqrt(max(left, 1e-9))
        found.append(drive.stroke / speed + float(drive.reversal))
    return found[0], found[1]


@lru_cache(maxsize=128)
def trim_of(pump: Pump, liquid: Liquid) -> Trim:
    """The trim of this pump with this liquid."""
    parameters = stroke_parameters(pump, liquid)
    state = steady(parameters)
    lost = _squeezed(pump, float(state.up.pressure[0]))
    swept = (parameters.upper_area + parameters.rod_area) * pump.stroke * (1.0 - lost)
    low, high = 0.0, float(state.stall_pressure[0])
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        up, down = _times(parameters, middle)
        if _taken(parameters, swept / (up + down)) > middle:
            low = middle
        else:
            high = middle
    up, down = _times(parameters, low)
    slow = pump.stroke / max(down - float(parameters.drive.reversal), 1e-12)
    down *= 1.0 - lost * max(1.0 - slow / float(parameters.drive.free_speed), 0.0)
    before = float(state.up.pressure[0] + state.down.pressure[0]) / 2.0
    ratios = (
        up / float(state.up.time[0]), down / float(state.down.time[0]),
        low / max(before, 1.0), 1.0 - lost,
    )  # fmt: skip
    return Trim(*(_held(r) for r in ratios)) if np.all(np.isfinite(ratios)) else Trim()


def trimmed(state: StrokeState, trim: Trim, *, pause: float | Array = 0.0) -> Spraying:
    """A spraying pump's figures with the hose's give.

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
