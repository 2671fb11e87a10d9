"""Faults of the nozzle."""

from __future__ import annotations

import numpy as np

from wetend.advice.faults.changes import SHARE, scaled
from wetend.advice.faults.record import (
    Alters,
    Array,
    Cause,
    Extent,
    Fault,
    Lump,
    Mending,
    MotionFault,
    Sign,
    SizeLaw,
    SoundPump,
)
from wetend.advice.pump_physics import Condition
from wetend.units.message import Message

_CHANGE = Mending(3, Message("Clear or change the nozzle"), 5.0)
_TAILS = Message("A worn nozzle takes the pressure away, and sprays tails too.")


def _wider(condition: Condition, _sound: SoundPump) -> Array:
    return np.maximum(np.asarray(condition.nozzle) - 1.0, 0.0)


def _narrower(condition: Condition, _sound: SoundPump) -> Array:
    return np.maximum(1.0 - np.asarray(condition.nozzle), 0.0)


WORN = Cause(
    number=3,
    id="nozzle",
    chance=0.17,
    worn=True,
    effect=Alters(
        "nozzle", SizeLaw(middle=0.4, spread=0.7, least=0.1), lambda area, size, _: area + size
    ),
    motion=(
        MotionFault(
            "nozzle-worn",
            Message("nozzle worn"),
            Message("growth of its area, share"),
            SHARE,
            20.0,
            0.3,
            scaled("nozzle", lambda size: 1 + size),
        ),
    ),
)

NOZZLE = Fault(
    id="nozzle",
    title=Message("nozzle worn"),
    short=Message("worn nozzle"),
    causes=(WORN,),
    mending=_CHANGE,
    open_first=Message(
        "The nozzle: fit a new one of the same size; look for leaks to the outside "
        "and a bypass left open."
    ),
    signs={
        "both strokes quick": Sign(
            1,
            Message("Both strokes quick: a worn nozzle, a leak to the outside or an open bypass."),
        ),
        "gauge low while spraying": Sign(
            1,
            Message("A low gauge while spraying, strokes quick: a worn nozzle or a leak outside."),
        ),
        "fan with tails": Sign(3, _TAILS),
        "fan tails or pulses": Sign(4, _TAILS),
    },
    wants=((0.9, ("nozzle",)), (0.1, ())),
    life_parts=("nozzle",),
    size=Extent(Message("hole larger than new by"), SHARE, _wider),
)

CLOGGED = Cause(
    number=13,
    id="clogged",
    chance=0.06,
    effect=Alters(
        "nozzle",
        SizeLaw(middle=0.25, spread=0.6, least=0.08, most=0.9),
        lambda area, size, _: area * (1.0 - size),
    ),
    not_with=("nozzle",),
    carried_away={"nozzle_turned": 0.8},
    motion=(
        MotionFault(
            "nozzle-blocked",
            Message("nozzle part-blocked"),
            Message("share of its area stopped up"),
            SHARE,
            0.999,
            0.5,
            scaled("nozzle", lambda size: 1 - size),
        ),
    ),
)

NOZZLE_BLOCKED = Fault(
    id="nozzle-blocked",
    title=Message("nozzle part-blocked"),
    short=Message("part-blocked nozzle"),
    causes=(CLOGGED,),
    mending=_CHANGE,
    open_first=Message(
        "The nozzle: turn it round and shoot it clear, trigger locked before each turn. If that "
        "does "
        "nothing: pressure off, clear it from the front with solvent, or fit another. A blocked "
        "nozzle can hide pressure."
    ),
    signs={
        "does not run": Sign(
            2,
            Message(
                "A pump that stands with pressure on its gauge is stalled against a blockage ahead "
                "of it."
            ),
        ),
        "slow both ways": Sign(
            3, Message("Slow both ways with a good gauge: a part-blocked nozzle.")
        ),
        "fan with tails": Sign(
            4, Message("A fan with one heavy side or a gap: a part-blocked nozzle; turn it first.")
        ),
    },
    wants=((0.7, ()), (0.3, ("nozzle",))),
    size=Extent(Message("hole shut by"), SHARE, _narrower),
    lump=Lump(
        Message("a lump in the nozzle, and turning it shot it out"),
        Message("a lump that turning it shoots out"),
    ),
)
