"""A sound pump with a liquid in it: its strokes, its hoses' loss, the gaps of its leaks.

All that the prior takes from pump and liquid alone, so it is worked out once for both and kept,
whatever is read on the pump.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from wetend.advice.faults.record import Cause, Gap
from wetend.advice.faults.tables import GAPS
from wetend.advice.pump_physics import (
    filling_of,
    loss_table,
    rated_stall,
    stroke_parameters,
)
from wetend.keeping import MB, kept
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.stroke.gap import gap_of_leak
from wetend.physics.stroke.losses import LossTable
from wetend.physics.stroke.parameters import StrokeState
from wetend.physics.stroke.steady import steady
from wetend.pump.description import Pump

Array = NDArray[np.float64]


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

    def swept(self, leak: Gap) -> float:
        """What the stroke that it is lost from sweeps, m^3/s; the mean of both for the outside."""
        up = self.pump.upper_area * float(self.sound.up.speed[0])
        down = self.pump.rod_area * float(self.sound.down.speed[0])
        both = 0.5 * (up + down)
        return {"foot": down, "piston": up, "rod": both, "outside": both}[leak.place]

    @cached_property
    def gaps(self) -> dict[Cause, tuple[Array, Array]]:
        """Logarithms of leaks, over what is swept, and of the gaps (m) that let so much pass."""
        logs = np.linspace(math.log(1e-8), math.log(30.0), 120)
        filling, pressure = filling_of(self.liquid), rated_stall(self.pump)
        tables = {}
        for cause, leak in GAPS.items():
            flows = np.exp(logs) * max(self.swept(leak), 1e-12)
            gaps = gap_of_leak(flows, leak.path(self.pump), filling, pressure=pressure)
            tables[cause] = (logs, np.log(gaps))
        return tables


@kept("pumps with their liquid", most=16 * MB, grows=True)
def filled(pump: Pump, liquid: Liquid) -> Filled:
    """This pump with this liquid, the same one each time it is asked for."""
    return Filled(pump, liquid)
