"""A described pump with faults in it, run in time for a few cycles."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wetend.advice.simulation.faults import with_faults
from wetend.advice.simulation.parameters import motion_parameters
from wetend.advice.simulation.run import SETTLING, Summary, summarise
from wetend.physics.motion.parameters import GunUse, MotionParameters
from wetend.physics.motion.simulate import Trace, simulate
from wetend.pump.coating import Coating
from wetend.pump.description import Pump


@dataclass(frozen=True, eq=False)
class Played:
    """What the model was told, what happened, and the figures of it."""

    parameters: MotionParameters
    trace: Trace
    summary: Summary


def play(
    pump: Pump,
    coating: Coating,
    faults: Mapping[str, float] | None = None,
    *,
    cycles: int = 4,
    gun: GunUse = "open",
) -> Played:
    """So many cycles after a few for it to settle."""
    parameters = motion_parameters(pump, coating, with_faults(pump, faults or {}), gun=gun)
    trace = simulate(parameters, cycles=cycles + SETTLING)
    return Played(parameters, trace, summarise(parameters, trace))
