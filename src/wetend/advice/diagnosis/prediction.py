"""What a pump reads, sound or with leaks of given size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from wetend.advice.diagnosis.answers import Prediction
from wetend.advice.faults.record import Fault
from wetend.advice.hose.compliance import Spraying, spraying
from wetend.advice.pump_physics import (
    Condition,
    filling_of,
    liquid_of,
    rated_stall,
    stroke_parameters,
)
from wetend.errors import BadInput
from wetend.keeping import MB, kept
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.gap import gap_of_leak
from wetend.physics.stroke.parameters import StrokeParameters, StrokeState
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.units.message import Message


def _with_leaks(pump: Pump, liquid: Liquid, leaks: Mapping[Fault, float]) -> Condition:
    gaps: dict[str, float] = {}
    for fault, leak in leaks.items():
        if fault.leaks_by is None:
            raise BadInput(
                Message(
                    "“{title}” has no leak flow; give leaks of the three seals only.",
                    title=fault.title,
                )
            )
        if not 0 <= leak < float("inf"):
            raise BadInput(
                Message("The leak for “{title}” must be zero or more.", title=fault.title)
            )
        path = fault.leaks_by.path(pump)
        gap = gap_of_leak(leak, path, filling_of(liquid), pressure=rated_stall(pump))
        gaps[fault.leaks_by.name] = float(gap[0])
    return replace(Condition(), **gaps)


def predict(
    pump: Pump, coating: Coating, *, leaks: Mapping[Fault, float] | None = None
) -> Prediction:
    """What this pump reads with this coating, sound or with leaks of given size at stall.

    At the rated supply and the coating's own temperature. A leak is m^3/s at the sound pump's stall
    pressure; the damage that passes so much there sets what it passes while spraying. From the
    steady stroke model, :mod:`wetend.physics.stroke.steady`, with the hose's give.

    Raises:
        BadInput: a leak is negative, or given for a fault that is no leak.
    """
    liquid = liquid_of(coating)
    condition = _with_leaks(pump, liquid, leaks or {})
    return _read(pump, liquid, stroke_parameters(pump, liquid, condition))


@kept("readings of sound pumps by supply", most=MB)
def predict_at(pump: Pump, liquid: Liquid, supply: float | None) -> Prediction:
    """What the sound pump reads with this liquid at this supply pressure (``None``: rated)."""
    condition = Condition(supply=None if supply is None else np.asarray(supply))
    return _read(pump, liquid, stroke_parameters(pump, liquid, condition))


def _read(pump: Pump, liquid: Liquid, parameters: StrokeParameters) -> Prediction:
    state = steady(parameters)
    return _as_prediction(state, spraying(pump, liquid, parameters, state))


def _as_prediction(state: StrokeState, seen: Spraying) -> Prediction:
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
