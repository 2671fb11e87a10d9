"""What is believed before any reading: which faults, how big, and what else may vary.

Every uncertain quantity is a function of one standard normal number, so that a pump drawn from the
prior is a row of such numbers. Chances and sizes are our own, from common practice, no source; they
are wide, and the readings outweigh them quickly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import cached_property, lru_cache
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from wetend.advice.fault_finding.faults import Fault
from wetend.advice.pump_physics import (
    Condition,
    filling_of,
    foot_path,
    liquid_of,
    loss_table,
    piston_path,
    rated_stall,
    static_path,
    stroke_parameters,
)
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.gap import GapPath, gap_of_leak
from wetend.physics.stroke.losses import LossTable
from wetend.physics.stroke.parameters import StrokeState
from wetend.physics.stroke.steady import steady
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings

Array = NDArray[np.float64]


class Cause(IntEnum):
    """Causes; some faults have two, which read differently."""

    FOOT = 0
    PISTON = 1
    STATIC = 2
    NOZZLE = 3
    STARVED = 4
    SUPPLY = 5
    DRIVE = 6
    FILTER = 7
    LINE = 8


CAUSES_OF: dict[Fault, tuple[Cause, ...]] = {
    Fault.FOOT_VALVE: (Cause.FOOT,),
    Fault.PISTON_VALVE: (Cause.PISTON,),
    Fault.STATIC_PACKINGS: (Cause.STATIC,),
    Fault.NOZZLE: (Cause.NOZZLE,),
    Fault.STARVED: (Cause.STARVED,),
    Fault.DRIVE_WEAK: (Cause.SUPPLY, Cause.DRIVE),
    Fault.FILTER: (Cause.FILTER, Cause.LINE),
}

CHANCE: dict[Cause, float] = {
    Cause.FOOT: 0.22, Cause.PISTON: 0.22, Cause.STATIC: 0.18, Cause.NOZZLE: 0.18,
    Cause.STARVED: 0.1, Cause.SUPPLY: 0.06, Cause.DRIVE: 0.05, Cause.FILTER: 0.09,
    Cause.LINE: 0.06,
}  # fmt: skip
"""Chance that a pump someone was called to has this, with a moderately abrasive coating."""

WORN_BY_COATING = (Cause.FOOT, Cause.PISTON, Cause.STATIC, Cause.NOZZLE)
ABRASION = {"mild": 0.75, "moderate": 1.0, "abrasive": 1.25, "very abrasive": 1.5}
"""How much likelier the coating makes what it wears."""

MOST_AT_ONCE = 3
"""Faults at once that are weighed; more are rarer than a reading gone wrong."""

NUISANCES = 6
SIZES = NUISANCES + len(Cause)
"""Standard normal numbers to one pump."""


@lru_cache(maxsize=1)
def combinations_of_causes() -> NDArray[np.bool_]:
    """Every set of causes weighed, one a row: none, each alone, pairs, threes."""
    rows = []
    for count in range(MOST_AT_ONCE + 1):
        for chosen in combinations(Cause, count):
            if any(set(pair) <= set(chosen) for pair in CAUSES_OF.values() if len(pair) > 1):
                continue
            rows.append([cause in chosen for cause in Cause])
    return np.array(rows, dtype=bool)


def chances(coating: Coating) -> Array:
    """Prior chance of every row of :func:`combinations_of_causes`; they add up to 1."""
    worn = ABRASION[coating.abrasiveness]
    each = np.array([CHANCE[c] * (worn if c in WORN_BY_COATING else 1.0) for c in Cause])
    rows = combinations_of_causes()
    weight = np.prod(np.where(rows, each, 1.0 - each), axis=1)
    return np.asarray(weight / weight.sum())


@dataclass(frozen=True)
class _Leak:
    """How big a leak of one kind is, as share of its stroke at the rated stall pressure."""

    path: GapPath
    swept: float
    middle: float
    least: float
    tight: float
    spread: float = 0.9
    tight_spread: float = 1.0


@dataclass(frozen=True)
class Setting:
    """The pump, coating and conditions under which the readings were taken."""

    pump: Pump
    coating: Coating
    supply_read: float | None
    temperature: float | None

    @classmethod
    def of(cls, pump: Pump, coating: Coating, readings: CheckReadings) -> Setting:
        """The setting of these readings."""
        return cls(pump, coating, readings.supply_pressure or None, readings.temperature)

    @cached_property
    def liquid(self) -> Liquid:
        """The coating at the temperature read, or its own."""
        return liquid_of(self.coating, self.temperature)

    @cached_property
    def table(self) -> LossTable:
        """The hoses' loss."""
        return loss_table(self.pump, self.liquid)

    @cached_property
    def sound(self) -> StrokeState:
        """The sound pump at its rated supply."""
        return self.run(Condition())

    def run(self, condition: Condition) -> StrokeState:
        """Pumps in this setting in so many conditions."""
        return steady(stroke_parameters(self.pump, self.liquid, condition, table=self.table))

    @cached_property
    def _leaks(self) -> dict[Cause, _Leak]:
        pump, sound = self.pump, self.sound
        up = pump.upper_area * float(sound.up.speed[0])
        down = pump.rod_area * float(sound.down.speed[0])
        return {
            Cause.FOOT: _Leak(foot_path(pump), down, 0.13, 0.02, 8e-4),
            Cause.PISTON: _Leak(piston_path(pump), up, 0.13, 0.02, 8e-4),
            Cause.STATIC: _Leak(static_path(pump), 0.5 * (up + down), 0.03, 0.004, 1e-4),
        }

    @cached_property
    def _gap_tables(self) -> dict[Cause, tuple[Array, Array]]:
        logs = np.linspace(math.log(1e-8), math.log(30.0), 120)
        filling, pressure = filling_of(self.liquid), rated_stall(self.pump)
        tables = {}
        for cause, leak in self._leaks.items():
            flows = np.exp(logs) * max(leak.swept, 1e-12)
            gaps = gap_of_leak(flows, leak.path, filling, pressure=pressure)
            tables[cause] = (logs, np.log(gaps))
        return tables

    def _gap(self, cause: Cause, z: Array, present: NDArray[np.bool_]) -> Array:
        leak = self._leaks[cause]
        fault = leak.least + leak.middle * np.exp(leak.spread * z)
        tight = leak.tight * np.exp(leak.tight_spread * z)
        logs, gaps = self._gap_tables[cause]
        return np.exp(np.interp(np.log(np.where(present, fault, tight)), logs, gaps))

    @cached_property
    def viscosity_spread(self) -> float:
        """Standard deviation of the logarithm of the viscosity."""
        unread = 0.0 if self.temperature is not None else 0.15
        return math.sqrt(math.log1p(self.coating.spread**2) + unread**2)

    def condition(self, z: Array, present: NDArray[np.bool_]) -> Condition:
        """Pumps from rows of standard normal numbers and of causes present."""

        def size(cause: Cause, middle: float, spread: float) -> Array:
            return middle * np.exp(spread * z[:, NUISANCES + cause])

        def has(cause: Cause) -> NDArray[np.bool_]:
            return present[:, cause]

        rated = self.pump.drive.supply_rated
        low = np.minimum(size(Cause.SUPPLY, 0.58, 0.2), 0.9)
        supply = rated * np.where(has(Cause.SUPPLY), low, 0.93 * np.exp(0.12 * z[:, 0]))
        tired = np.minimum(size(Cause.DRIVE, 0.6, 0.2), 0.95)
        flow, pressure = float(self.sound.flow[0]), float(self.sound.gauge[0])
        resistance = pressure / max(flow, 1e-9)
        sizes = Condition(
            supply=supply,
            drive=np.where(has(Cause.DRIVE), tired, 1.0),
            viscosity=np.exp(self.viscosity_spread * z[:, 1]),
            friction=np.exp(0.3 * z[:, 2]),
            free_speed=np.exp(0.15 * z[:, 3]),
            nozzle=1.02 * np.exp(0.04 * z[:, 4])
            + np.where(has(Cause.NOZZLE), 0.1 + size(Cause.NOZZLE, 0.4, 0.7), 0.0),
            filter=1.2 * np.exp(0.3 * z[:, 5]),
        )
        blocked = np.where(has(Cause.FILTER), 0.05 + size(Cause.FILTER, 0.3, 0.7), 0.0)
        clogged = np.where(has(Cause.LINE), 0.05 + size(Cause.LINE, 0.3, 0.7), 0.0)
        empty = np.minimum(0.04 + size(Cause.STARVED, 0.13, 0.7), 0.9)
        return replace(
            sizes,
            filter_blocked=blocked * resistance,
            line_blocked=clogged * resistance,
            filling=np.where(has(Cause.STARVED), 1.0 - empty, 1.0),
            foot_gap=self._gap(Cause.FOOT, z[:, NUISANCES + Cause.FOOT], has(Cause.FOOT)),
            piston_gap=self._gap(Cause.PISTON, z[:, NUISANCES + Cause.PISTON], has(Cause.PISTON)),
            static_gap=self._gap(Cause.STATIC, z[:, NUISANCES + Cause.STATIC], has(Cause.STATIC)),
        )
