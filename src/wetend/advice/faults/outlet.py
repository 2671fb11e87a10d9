"""Faults of what the coating is driven through: outlet filter, hose and gun."""

from __future__ import annotations

import numpy as np

from wetend.advice.faults.changes import LOSS, SHARE, over_rated_flow
from wetend.advice.faults.record import (
    Alters,
    Array,
    Cause,
    Extent,
    Fault,
    Mending,
    MotionFault,
    Shown,
    Sign,
    SizeLaw,
    SoundPump,
)
from wetend.advice.pump_physics import Condition
from wetend.units.message import Message
from wetend.units.quantity import Pa, unit_of

_LOSS = SizeLaw(middle=0.3, spread=0.7, least=0.05)
"""Over all that a sound pump's gauge shows."""
_TAILS = Message(
    "Tails mean too little pressure at the nozzle: filter or hose blocked, hose "
    "long or thin, coating cold or thick."
)


def _resists(before: Array, size: Array, sound: SoundPump) -> Array:
    return before + size * sound.resistance


def _taken(condition: Condition, sound: SoundPump) -> Array:
    usual = max(sound.gauge, 1e-3) / max(sound.flow, 1e-9)
    more = np.asarray(condition.filter_blocked) + np.asarray(condition.line_blocked)
    return np.asarray(more / usual)


OUTLET_FILTER = Cause(
    number=7,
    id="filter",
    chance=0.09,
    effect=Alters("filter_blocked", _LOSS, _resists),
    words=Message("the outlet filter"),
    parts=("outlet-filter",),
    shows={"filter_looked": Shown("size", 0.5)},
    motion=(
        MotionFault("filter", Message("outlet filter blocked"), LOSS, unit_of(Pa), 1e9, 4e6,
                    over_rated_flow("filter_blocked")),
    ),
)  # fmt: skip

LINE = Cause(
    number=8,
    id="line",
    chance=0.05,
    effect=Alters("line_blocked", _LOSS, _resists),
    words=Message("hose, gun filter or gun"),
    motion=(
        MotionFault("line", Message("hose or gun filter blocked"), LOSS, unit_of(Pa), 1e9, 4e6,
                    over_rated_flow("line_blocked")),
    ),
)  # fmt: skip

FILTER = Fault(
    id="filter",
    title=Message("outlet filter or hose blocked"),
    short=Message("blocked filter or hose"),
    causes=(OUTLET_FILTER, LINE),
    mending=Mending(7, Message("Clean the outlet filter and the line"), 12.0),
    open_first=Message(
        "The outlet filter, then hose and gun filter for a blockage; warm a thick coating."
    ),
    signs={
        "does not run": Sign(
            1,
            Message(
                "A pump that stands with pressure on its gauge is stalled against a blockage "
                "ahead of it."
            ),
        ),
        "gauge low while spraying": Sign(
            2, Message("A low gauge while spraying, stall pressure good: a blocked filter.")
        ),
        "slow both ways": Sign(
            2,
            Message(
                "Slow both ways, stall good: filter or hose blocked, or a coating cold or thick."
            ),
        ),
        "fan with tails": Sign(1, _TAILS),
        "fan tails or pulses": Sign(1, _TAILS),
    },
    wants=((0.3, ()), (0.7, ("outlet-filter",))),
    life_parts=("outlet-filter",),
    size=Extent(Message("pressure it takes, over a sound pump's,"), SHARE, _taken),
)
