"""What is believed before any reading: which faults, how big, and what else may vary.

Every uncertain quantity is a function of one standard normal number, so that a pump drawn from the
prior is a row of such numbers. Chances and sizes are our own, from common practice, no source; they
are wide, and the readings outweigh them quickly.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.causes import NOTHING_KNOWN, Around, Cause
from wetend.advice.diagnosis.drops import (
    DROPS,
    MOST,
    USUAL_FILTER,
    USUAL_NOZZLE,
    USUAL_SUPPLY,
    Drops,
    drops,
)
from wetend.advice.diagnosis.filled import Filled, filled
from wetend.advice.pump_physics import Condition, liquid_of, viscosity_spread
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.losses import LossTable
from wetend.physics.stroke.parameters import StrokeState
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings

Array = NDArray[np.float64]


NUISANCES = 7
SLOWED = 6
"""Which of them says how far what a slow pace leaves of a drop is not as foreseen."""
LUMP = NUISANCES + len(Cause)
"""Which of a pump's numbers says how easily what is wrong comes loose, where it is a lump."""
SIZES = LUMP + 1
"""Standard normal numbers to one pump: nuisances, sizes of the causes, and the last."""


@dataclass(frozen=True)
class Setting:
    """The pump, coating and conditions under which the readings were taken."""

    pump: Pump
    coating: Coating
    supply_read: float | None
    temperature: float | None
    around: Around = NOTHING_KNOWN

    @classmethod
    def of(
        cls, pump: Pump, coating: Coating, readings: CheckReadings, around: Around = NOTHING_KNOWN
    ) -> Setting:
        """The setting of these readings."""
        return cls(pump, coating, readings.supply_pressure or None, readings.temperature, around)

    @cached_property
    def liquid(self) -> Liquid:
        """The coating at the temperature read, or its own."""
        return liquid_of(self.coating, self.temperature)

    @property
    def table(self) -> LossTable:
        """The hoses' loss."""
        return self.filled.table

    @property
    def sound(self) -> StrokeState:
        """The sound pump at its rated supply."""
        return self.filled.sound

    @cached_property
    def filled(self) -> Filled:
        """The pump with this liquid in it."""
        return filled(self.pump, self.liquid)

    def _gap(self, cause: Cause, z: Array, present: NDArray[np.bool_]) -> Array:
        leak, mine = self.filled.leaks[cause], z[:, NUISANCES + cause]
        logs, gaps = self.filled.gaps[cause]
        found = np.zeros(len(z))
        there = present[:, cause]
        flow = leak.least + leak.middle * np.exp(leak.spread * mine[there])
        found[there] = np.exp(np.interp(np.log(flow), logs, gaps))
        if leak.tight > 0:
            tight = math.log(leak.tight) + leak.tight_spread * mine[~there]
            found[~there] = np.exp(np.interp(tight, logs, gaps))
        return found

    @cached_property
    def viscosity_spread(self) -> float:
        """Standard deviation of the logarithm of the viscosity."""
        unread = 0.0 if self.temperature is not None else 0.15
        return math.sqrt(math.log1p(viscosity_spread(self.coating) ** 2) + unread**2)

    def condition(self, z: Array, present: NDArray[np.bool_]) -> Condition:
        """Pumps from rows of standard normal numbers and of causes present."""

        def size(cause: Cause, middle: float, spread: float) -> Array:
            return middle * np.exp(spread * z[:, NUISANCES + cause])

        def has(cause: Cause) -> NDArray[np.bool_]:
            return present[:, cause]

        rated = self.pump.drive.supply_rated
        low = np.minimum(size(Cause.SUPPLY, 0.58, 0.2), 0.9)
        supply = rated * np.where(has(Cause.SUPPLY), low, USUAL_SUPPLY * np.exp(0.12 * z[:, 0]))
        tired = np.minimum(size(Cause.DRIVE, 0.6, 0.2), 0.95)
        flow, pressure = float(self.sound.flow[0]), float(self.sound.gauge[0])
        resistance = pressure / max(flow, 1e-9)
        worn = np.where(has(Cause.NOZZLE), 0.1 + size(Cause.NOZZLE, 0.4, 0.7), 0.0)
        shut = np.minimum(0.08 + size(Cause.CLOGGED, 0.25, 0.6), 0.9)
        blocked = np.where(has(Cause.FILTER), 0.05 + size(Cause.FILTER, 0.3, 0.7), 0.0)
        clogged = np.where(has(Cause.LINE), 0.05 + size(Cause.LINE, 0.3, 0.7), 0.0)
        pause = 0.1 + size(Cause.SLOW, 0.4, 0.6)
        return Condition(
            supply=supply,
            drive=np.where(has(Cause.DRIVE), tired, 1.0),
            viscosity=np.exp(self.viscosity_spread * z[:, 1]),
            friction=np.exp(0.3 * z[:, 2]),
            free_speed=np.exp(0.15 * z[:, 3]),
            nozzle=USUAL_NOZZLE
            * np.exp(0.04 * z[:, 4])
            * np.where(has(Cause.CLOGGED), 1.0 - shut, 1.0)
            + worn,
            filter=USUAL_FILTER * np.exp(0.3 * z[:, 5]),
            filter_blocked=blocked * resistance,
            line_blocked=clogged * resistance,
            filling=1.0 - self.empty(z, present),
            reversal=np.where(has(Cause.SLOW), pause, 0.0),
            foot_gap=self._gap(Cause.FOOT, z, present),
            piston_gap=self._gap(Cause.PACKINGS, z, present),
            seat_gap=self._gap(Cause.PISTON, z, present),
            score_gap=self._gap(Cause.BORE, z, present),
            static_gap=self._gap(Cause.STATIC, z, present),
            outside_gap=self._gap(Cause.OUTSIDE, z, present),
        )

    @property
    def drops(self) -> Drops:
        """How far the rod drops by what is wrong with the suction."""
        return drops(self.pump, self.liquid)

    def empty(self, z: Array, present: NDArray[np.bool_]) -> Array:
        """Share of the down-stroke that the rod drops before it meets liquid and a shut valve."""
        lost = np.zeros(len(z))
        for cause in DROPS:
            there = present[:, cause]
            lost[there] = self.drops.spraying(cause, z[there, NUISANCES + cause])
        return np.minimum(lost, MOST)

    def empty_slowly(self, z: Array, present: NDArray[np.bool_]) -> Array:
        """The same at a third of the pace."""
        lost = np.zeros(len(z))
        for cause in DROPS:
            there = present[:, cause]
            size, unforeseen = z[there, NUISANCES + cause], z[there, SLOWED]
            lost[there] = self.drops.slowly(cause, size, unforeseen)
        return np.minimum(lost, MOST)
