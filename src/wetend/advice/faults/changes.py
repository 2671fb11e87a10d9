"""How a state in time is altered by a fault: the ways that several faults share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from wetend.advice.faults.record import Change
from wetend.advice.pump_physics import Motion, rated_flow
from wetend.pump.description import Pump
from wetend.units.message import Message
from wetend.units.quantity import MFine, Percent, unit_of

SPREAD = 0.6
"""Of the logarithm of a drop's size, and of any size over its middle one."""
OPENING, GAP = Message("opening of the gap, m"), unit_of(MFine)
LOSS = Message("pressure it costs at the pump's highest cycle rate, Pa")
SHARE = unit_of(Percent)


def steadily(name: str) -> Change:
    """One figure of the steady condition is the size."""
    return lambda motion, _pump, size: replace(
        motion, steady=replace(motion.steady, **{name: size})
    )


def scaled(name: str, factor: Callable[[float], float]) -> Change:
    """One figure of the steady condition is multiplied."""
    return lambda motion, _pump, size: replace(
        motion,
        steady=replace(motion.steady, **{name: getattr(motion.steady, name) * factor(size)}),
    )


def over_rated_flow(name: str) -> Change:
    """A blockage, given by the pressure it costs at the rated flow."""
    return lambda motion, pump, size: replace(
        motion, steady=replace(motion.steady, **{name: size / rated_flow(pump)})
    )


def over_lifting(motion: Motion, pump: Pump, size: float) -> Motion:
    """The foot valve's ball lifts this much beyond its middle."""
    return replace(motion, foot_lift=pump.foot_valve.lift_middle + size)


def starving(motion: Motion, pump: Pump, size: float) -> Motion:
    """The suction takes this pressure at the rated flow."""
    return replace(motion, suction_blocked=size / rated_flow(pump))
