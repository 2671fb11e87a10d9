"""Faults of the drive."""

from __future__ import annotations

import numpy as np

from wetend.advice.faults.changes import SHARE, scaled, steadily
from wetend.advice.faults.record import (
    Alters,
    Array,
    Cause,
    Extent,
    Fault,
    Mending,
    MotionFault,
    Sign,
    SizeLaw,
    SoundPump,
)
from wetend.advice.pump_physics import Condition
from wetend.units.message import Message
from wetend.units.quantity import S, unit_of

_TURN = Message(
    "A pump that stops at the turn: its changeover sticks, is iced up, or lacks supply."
)
_LOST = SizeLaw(middle=0.12, spread=0.9, least=0.08, most=0.6)
"""Share of the force gone: from a tenth, which a crew begins to feel, a fifth in the middle."""
_WEAK = (
    MotionFault(
        "drive-weak",
        Message("drive weak"),
        Message("share of its force gone"),
        SHARE,
        0.999,
        0.4,
        scaled("drive", lambda size: 1 - size),
    ),
)


def _lacking(condition: Condition, sound: SoundPump) -> Array:
    force = np.asarray(condition.supply) * np.asarray(condition.drive)
    return np.asarray(np.maximum(1.0 - force / sound.supply, 0.0))


SUPPLY = Cause(
    number=5,
    id="supply",
    chance=0.06,
    effect=Alters(
        "supply",
        _LOST,
        lambda _, size, sound: sound.supply * (1.0 - size),
    ),
    words=Message("the supply"),
    motion=_WEAK,
)

TIRED = Cause(
    number=6,
    id="drive",
    chance=0.04,
    effect=Alters(
        "drive",
        _LOST,
        lambda force, size, _: force * (1.0 - size),
    ),
    words=Message("the drive itself"),
    motion=_WEAK,
)

DRIVE_WEAK = Fault(
    id="drive-weak",
    title=Message("drive weak"),
    short=Message("weak drive"),
    causes=(SUPPLY, TIRED),
    mending=Mending(5, Message("Put the drive's supply right"), 20.0),
    open_first=Message(
        "The drive's supply: pressure at the drive while it runs, its regulator, filter and line."
    ),
    signs={
        "does not run": Sign(
            3,
            Message(
                "A pump that stands without pressure lacks its supply, or something holds it fast."
            ),
        ),
        "stops at the turn": Sign(2, _TURN),
        "gauge low at stall": Sign(
            1, Message("A gauge low at stall means the drive gives too little force.")
        ),
        "slow both ways": Sign(
            1, Message("Slow both ways with a low stall means a weak drive supply.")
        ),
        "fan with tails": Sign(
            2,
            Message(
                "Tails mean too little pressure at the nozzle: is the supply set too low, or weak?"
            ),
        ),
    },
    wants=((0.6, ()), (0.4, ("drive-kit",))),
    size=Extent(Message("force that the drive lacks"), SHARE, _lacking),
)

CHANGEOVER = Cause(
    number=15,
    id="slow",
    chance=0.04,
    effect=Alters(
        "reversal",
        SizeLaw(middle=0.4, spread=0.6, least=0.1),
        lambda pause, size, _: pause + size,
    ),
    motion=(
        MotionFault(
            "drive-slow",
            Message("drive slow to reverse"),
            Message("time longer at each end, s"),
            unit_of(S),
            60.0,
            0.3,
            steadily("reversal"),
        ),
    ),
)

DRIVE_SLOW = Fault(
    id="drive-slow",
    title=Message("drive slow to reverse"),
    short=Message("slow changeover"),
    causes=(CHANGEOVER,),
    mending=Mending(6, Message("Put the drive's changeover right"), 35.0),
    open_first=Message("The drive's changeover: its pilots, valves or switches, and their supply."),
    signs={"stops at the turn": Sign(1, _TURN)},
    wants=((0.4, ()), (0.6, ("drive-kit",))),
    size=Extent(
        Message("longer at each turn by"),
        unit_of(S),
        lambda condition, _: np.asarray(condition.reversal),
    ),
)
