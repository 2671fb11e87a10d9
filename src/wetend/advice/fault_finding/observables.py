"""Everything a running check can read: what it is called, how exact it is, how to do it.

Errors are standard deviations of reading and model together, common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from wetend.advice.fault_finding.prior import Cause, Setting
from wetend.advice.pump_physics import stroke_parameters
from wetend.physics.stroke.gap import LeakRate, blend
from wetend.physics.stroke.parameters import Leaks
from wetend.physics.stroke.steady import steady
from wetend.units import quantity
from wetend.units.quantity import Unit, unit_of

Array = NDArray[np.float64]
Key = Literal[
    "up_time", "down_time", "spray_pressure", "stall_pressure", "creep_up", "creep_down",
    "supply_pressure", "flow", "cycle_rate", "cycle_volume", "wet_cup", "early_drop",
]  # fmt: skip

STILL = 2e-3 / 60
"""Creep taken as none, m/s: 2 mm a minute."""
_FLOOR = 1e-12


def _log(value: Array) -> Array:
    return np.log(np.maximum(value, _FLOOR))


def _log_creep(value: Array) -> Array:
    return np.log(np.maximum(value, 0.0) + STILL)


def _straight(value: Array) -> Array:
    return value


@dataclass(frozen=True)
class Observable:
    """One thing that can be read off a running pump."""

    key: Key
    title: str
    unit: Unit | None
    """``None``: it is seen or not seen."""
    scale: Callable[[Array], Array]
    """To the scale on which the error is even."""
    relative: float
    absolute: float = 0.0
    """Errors on that scale: relative to the value, and fixed."""

    def error(self, value: Array) -> Array:
        """Standard deviation of a reading near this value, on the error's scale."""
        if self.scale is _straight:
            return np.hypot(self.relative * np.abs(value), self.absolute)
        return np.full_like(value, self.relative)


OBSERVABLES: dict[Key, Observable] = {
    o.key: o
    for o in (
        Observable("up_time", "up-stroke", unit_of(quantity.S), _log, 0.03),
        Observable("down_time", "down-stroke", unit_of(quantity.S), _log, 0.03),
        Observable("spray_pressure", "gauge while spraying", unit_of(quantity.Pa), _straight,
                   0.03, 4e5),
        Observable("stall_pressure", "gauge at stall", unit_of(quantity.Pa), _straight, 0.02, 4e5),
        Observable("creep_up", "creep up at stall", unit_of(quantity.Creep), _log_creep, 0.5),
        Observable("creep_down", "creep down at stall", unit_of(quantity.Creep), _log_creep, 0.5),
        Observable("supply_pressure", "supply pressure", unit_of(quantity.Pa), _straight,
                   0.03, 1e4),
        Observable("flow", "delivery", unit_of(quantity.M3PerS), _log, 0.06),
        Observable("cycle_rate", "cycles a minute", unit_of(quantity.CycleRate), _log, 0.04),
        Observable("cycle_volume", "delivery a cycle", unit_of(quantity.M3Small), _log, 0.05),
        Observable("wet_cup", "wet cup", None, _straight, 0.0),
        Observable("early_drop", "start of the down-stroke", None, _straight, 0.0),
    )
}  # fmt: skip
"""All observables by key."""


@dataclass(frozen=True, eq=False)
class Played:
    """Many pumps run: what each would read, and how big each fault is in it."""

    reads: dict[Key, Array]
    """A probability for what is seen or not seen."""
    leak: dict[Cause, Array]
    """m^3/s at the pump's own stall pressure."""
    share: dict[Cause, Array]
    """Share of the stroke lost while spraying."""


def _at_stall(rate: LeakRate, pressure: Array, leaks: Leaks) -> Array:
    ratio = np.maximum(pressure / leaks.reference, _FLOOR)
    return blend(rate, ratio, leaks.power)[0]


def play(setting: Setting, z: Array, present: NDArray[np.bool_]) -> Played:
    """Run pumps drawn as rows of numbers and causes."""
    pump = setting.pump
    condition = setting.condition(z, present)
    parameters = stroke_parameters(pump, setting.liquid, condition, table=setting.table)
    state, leaks = steady(parameters), parameters.leaks
    up, down = state.up, state.down
    static = 0.5 * (up.static_leak / (pump.upper_area * up.speed)
                    + down.static_leak / (pump.rod_area * down.speed))  # fmt: skip
    empty = 1.0 - np.asarray(condition.filling)
    share = {
        Cause.FOOT: down.leak / (pump.rod_area * down.speed),
        Cause.PISTON: up.leak / (pump.upper_area * up.speed),
        Cause.STATIC: static,
        Cause.STARVED: empty,
    }
    leak = {
        Cause.FOOT: _at_stall(leaks.foot, down.stall_pressure, leaks),
        Cause.PISTON: _at_stall(leaks.piston, up.stall_pressure, leaks),
        Cause.STATIC: _at_stall(leaks.static, state.stall_pressure, leaks),
    }
    reads: dict[Key, Array] = {
        "up_time": up.time,
        "down_time": down.time,
        "spray_pressure": state.gauge,
        "stall_pressure": state.stall_pressure,
        "creep_up": up.creep,
        "creep_down": down.creep,
        "supply_pressure": np.asarray(condition.supply),
        "flow": state.flow,
        "cycle_rate": state.cycle_rate,
        "cycle_volume": state.flow / state.cycle_rate,
        "wet_cup": 0.015 + 0.945 * -np.expm1(-static / 0.004),
        "early_drop": 0.06 + 0.88 * -np.expm1(-((empty / 0.1) ** 2)),
    }
    return Played(reads, leak, share)
