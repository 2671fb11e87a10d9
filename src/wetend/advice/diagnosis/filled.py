"""A sound pump with a liquid in it: its strokes, its hoses' loss, how big its leaks usually are.

All that the prior takes from pump and liquid alone, so it is worked out once for both and kept,
whatever is read on the pump.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetend.advice.diagnosis.causes import Cause
from wetend.advice.pump_physics import (
    filling_of,
    foot_path,
    loss_table,
    outside_path,
    piston_path,
    rated_stall,
    score_path,
    seat_path,
    static_path,
    stroke_parameters,
)
from wetend.keeping import MB, kept
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.gap import GapPath, gap_of_leak
from wetend.physics.stroke.losses import LossTable
from wetend.physics.stroke.parameters import StrokeState
from wetend.physics.stroke.steady import steady
from wetend.pump.description import Pump

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Leak:
    """How big a leak of one kind is, as share of its stroke at the rated stall pressure."""

    path: GapPath
    swept: float
    middle: float
    least: float
    tight: float
    spread: float = 0.9
    tight_spread: float = 1.0


@dataclass(frozen=True, eq=False)
class Filled:
    """A sound pump with a liquid in it."""

    pump: Pump
    liquid: Liquid

    @cached_property
    def table(self) -> LossTable:
        """The hoses' loss."""
        return loss_table(self.pump, self.liquid)

    @cached_property
    def sound(self) -> StrokeState:
        """The pump at its rated supply."""
        return steady(stroke_parameters(self.pump, self.liquid, table=self.table))

    @cached_property
    def leaks(self) -> dict[Cause, Leak]:
        """How big leaks usually are."""
        pump, sound = self.pump, self.sound
        up = pump.upper_area * float(sound.up.speed[0])
        down = pump.rod_area * float(sound.down.speed[0])
        return {
            Cause.FOOT: Leak(foot_path(pump), down, 0.13, 0.02, 8e-4),
            Cause.PISTON: Leak(seat_path(pump), up, 0.13, 0.02, 0.0),
            Cause.PACKINGS: Leak(piston_path(pump), up, 0.13, 0.02, 8e-4),
            Cause.BORE: Leak(score_path(pump), up, 0.13, 0.02, 0.0),
            Cause.STATIC: Leak(static_path(pump), 0.5 * (up + down), 0.03, 0.004, 1e-4),
            Cause.OUTSIDE: Leak(outside_path(pump), 0.5 * (up + down), 0.07, 0.01, 0.0),
        }

    @cached_property
    def gaps(self) -> dict[Cause, tuple[Array, Array]]:
        """Logarithms of leaks, over what is swept, and of the gaps (m) that let so much pass."""
        logs = np.linspace(math.log(1e-8), math.log(30.0), 120)
        filling, pressure = filling_of(self.liquid), rated_stall(self.pump)
        tables = {}
        for cause, leak in self.leaks.items():
            flows = np.exp(logs) * max(leak.swept, 1e-12)
            gaps = gap_of_leak(flows, leak.path, filling, pressure=pressure)
            tables[cause] = (logs, np.log(gaps))
        return tables


@kept("pumps with their liquid", most=16 * MB, grows=True)
def filled(pump: Pump, liquid: Liquid) -> Filled:
    """This pump with this liquid, the same one each time it is asked for."""
    return Filled(pump, liquid)
