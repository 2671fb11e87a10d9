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

from wetend.advice.diagnosis.causes import NOTHING_KNOWN, Around
from wetend.advice.diagnosis.drops import (
    MOST,
    USUAL_FILTER,
    USUAL_NOZZLE,
    USUAL_SUPPLY,
    Drops,
    drops,
)
from wetend.advice.diagnosis.filled import Filled, filled
from wetend.advice.faults.record import Alters, Cause, SoundPump
from wetend.advice.faults.tables import CAUSES, DROPS, GAPS
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
LUMP = NUISANCES + len(CAUSES)
"""Which of a pump's numbers says how easily what is wrong comes loose, where it is a lump; and
whether a late ball is held by what dried on it."""
SIZES = LUMP + 1
"""Standard normal numbers to one pump: nuisances, sizes of the causes, and the last."""


_SUPPLY = 0.035
"""Spread of the logarithm of a sound drive's supply and force. One in thirty lacks a tenth and more
of what is rated, and reads as weak: whoever sets a regulator lower knows that he did."""


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

    @cached_property
    def sound_figures(self) -> SoundPump:
        """Figures of the sound pump that faults are measured by."""
        gauge, flow = float(self.sound.gauge[0]), float(self.sound.flow[0])
        return SoundPump(self.pump.drive.supply_rated, gauge, flow)

    def _gap(self, cause: Cause, z: Array, present: NDArray[np.bool_]) -> Array:
        leak, mine = GAPS[cause], z[:, NUISANCES + cause]
        logs, gaps = self.filled.gaps[cause]
        found = np.zeros(len(z))
        there = present[:, cause]
        flow = leak.size.sizes(mine[there])
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
        zero = np.zeros(len(z))
        figures = {
            "supply": self.pump.drive.supply_rated * (USUAL_SUPPLY * np.exp(_SUPPLY * z[:, 0])),
            "drive": np.ones(len(z)),
            "viscosity": np.exp(self.viscosity_spread * z[:, 1]),
            "friction": np.exp(0.3 * z[:, 2]),
            "free_speed": np.exp(0.15 * z[:, 3]),
            "nozzle": USUAL_NOZZLE * np.exp(0.04 * z[:, 4]),
            "filter": USUAL_FILTER * np.exp(0.3 * z[:, 5]),
            "filter_blocked": zero,
            "line_blocked": zero,
            "reversal": zero,
            "filling": 1.0 - self.empty(z, present),
        }
        for cause in CAUSES:
            effect, there = cause.effect, present[:, cause]
            if isinstance(effect, Alters) and there.any():
                size = effect.size.sizes(z[there, NUISANCES + cause])
                altered = figures[effect.name].copy()
                altered[there] = effect.change(altered[there], size, self.sound_figures)
                figures[effect.name] = altered
        for cause, leak in GAPS.items():
            gap = self._gap(cause, z, present)
            figures[leak.name] = np.maximum(figures.get(leak.name, gap), gap)
        return Condition(**figures)

    @cached_property
    def drops(self) -> Drops:
        """How far the rod drops by what is wrong with the suction."""
        return drops(self.pump, self.liquid)

    def empty(self, z: Array, present: NDArray[np.bool_]) -> Array:
        """Share of the down-stroke that the rod drops before it meets liquid and a shut valve."""
        lost = np.zeros(len(z))
        for cause in DROPS:
            there = present[:, cause]
            held = z[there, LUMP] > 0.0
            lost[there] = self.drops.spraying(cause, z[there, NUISANCES + cause], held)
        return np.minimum(lost, MOST)

    def empty_slowly(self, z: Array, present: NDArray[np.bool_]) -> Array:
        """The same at a third of the pace."""
        lost = np.zeros(len(z))
        for cause in DROPS:
            there = present[:, cause]
            size, unforeseen = z[there, NUISANCES + cause], z[there, SLOWED]
            lost[there] = self.drops.slowly(cause, size, unforeseen, z[there, LUMP] > 0.0)
        return np.minimum(lost, MOST)
