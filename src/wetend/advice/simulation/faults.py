"""Faults put into a pump in time, each with a size in SI units."""

from __future__ import annotations

from collections.abc import Mapping

from wetend.advice.faults.tables import MOTION_FAULTS
from wetend.advice.pump_physics import Motion
from wetend.errors import BadInput, UnknownName
from wetend.pump.description import Pump
from wetend.units.message import Message
from wetend.units.suggestions import near_or_all


def with_faults(pump: Pump, faults: Mapping[str, float], motion: Motion | None = None) -> Motion:
    """A state with faults of these sizes inserted, by name (``MOTION_FAULTS``).

    Raises:
        UnknownName: no fault goes by that name.
        BadInput: a size is below zero, not a number, or more than can be.
    """
    state = motion or Motion()
    for name, size in faults.items():
        if name not in MOTION_FAULTS:
            known = near_or_all(name, MOTION_FAULTS, Message("there are"))
            raise UnknownName(
                Message("“{name}” is not a fault; {known}", name=name[:40], known=known)
            )
        kind = MOTION_FAULTS[name]
        if not 0 <= size <= kind.most:
            raise BadInput(
                Message(
                    "“{title}” takes a size from 0 to {most:g} ({size}).",
                    title=kind.title,
                    most=kind.most,
                    size=kind.size,
                )
            )
        if size > 0:
            state = kind.change(state, pump, size)
    return state
