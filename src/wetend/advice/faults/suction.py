"""Faults of the suction side: too little comes in, or air with it."""

from __future__ import annotations

from dataclasses import replace

from wetend.advice.faults.changes import LOSS, SHARE, starving
from wetend.advice.faults.record import Cause, Drop, Fault, Mending, MotionFault, Shown, Sign
from wetend.advice.pump_physics import Motion, rated_flow
from wetend.pump.description import Pump
from wetend.units.message import Message
from wetend.units.quantity import Pa, unit_of

BLOCKED, AIR_DRAWN = 2e5, 0.1
"""Middle sizes: suction pressure (Pa at the rated flow), air drawn in (over the liquid's volume).
"""
_MEND = Mending(4, Message("Put the suction right"), 10.0)
_EMPTY = Message("A quick drop at first means the cylinder did not fill: starved or drawing air.")
_KNOCK = Message(
    "A knock at the turn: the cylinder did not fill, or coupling or collets have "
    "play; try those with the drive locked off."
)
_NO_PRESSURE = Message("No pressure: first the tin, the strainer and the suction's joints.")
_NO_PRIME = Message("A pump that won't prime draws air or is blocked on the suction side.")


def _blocked(motion: Motion, pump: Pump, size: float) -> Motion:
    return replace(motion, suction_blocked=BLOCKED * size / rated_flow(pump))


def _with_air(motion: Motion, _pump: Pump, size: float) -> Motion:
    return replace(motion, free_air=motion.free_air + AIR_DRAWN * size)


SUCTION = Cause(
    number=4,
    id="starved",
    chance=0.06,
    effect=Drop(
        _blocked,
        sizes=(-3.0, -1.5, -0.75, 0.0, 0.75, 1.5, 2.25),  # what it costs bends most
        cycles=(0, 1, 1, 2, 4, 4, 4),  # badly starved it empties from stroke to stroke
        slow_cycles=(0, 0, 0, 1, 1, 1, 3),
        unforeseen=True,
        cured_by_full_pail=True,
    ),
    not_with=("air", "late"),
    parts=("strainer",),
    motion=(
        MotionFault("starved", Message("suction starved"), LOSS, unit_of(Pa), 1e9, 1e5, starving),
    ),
)  # fmt: skip

STARVED = Fault(
    id="starved",
    title=Message("suction starved"),
    short=Message("starved suction"),
    causes=(SUCTION,),
    mending=_MEND,
    open_first=Message(
        "The suction side: strainer, suction tube and its joints, the level in the tin."
    ),
    signs={
        "does not stop with the gun shut": Sign(
            2,
            Message(
                "A pump that runs on with the gun shut loses what it delivers, or has "
                "nothing to deliver: is the tin empty?"
            ),
        ),
        "runs but gives no pressure": Sign(1, _NO_PRESSURE),
        "quick drop at the start of the down-stroke": Sign(1, _EMPTY),
        "knocks at the turn": Sign(1, _KNOCK),
        "will not prime": Sign(1, _NO_PRIME),
    },
    wants=((0.4, ()), (0.6, ("strainer",))),
)

JOINTS = Cause(
    number=12,
    id="air",
    chance=0.05,
    effect=Drop(
        _with_air,
        sizes=(-2.0, 0.0, 2.0),
        cycles=(1, 1, 1),  # air goes by the stroke: slowly it drops as while spraying
        cured_by_full_pail=True,
        cushion=0.3,
    ),
    not_with=("late",),
    parts=("suction-elbow",),
    shows={"air_seen": Shown("size", 0.5)},
    motion=(
        MotionFault(
            "air",
            Message("suction drawing air"),
            Message("air drawn in, over the liquid's volume"),
            SHARE,
            20.0,
            0.1,
            lambda m, _pump, size: replace(m, free_air=m.free_air + size),
        ),
    ),
)

AIR = Fault(
    id="air",
    title=Message("suction drawing air"),
    short=Message("air in the suction"),
    causes=(JOINTS,),
    mending=_MEND,
    open_first=Message("The suction's joints: tube, elbow and their seals, the level in the tin."),
    signs={
        "runs but gives no pressure": Sign(2, _NO_PRESSURE),
        "quick drop at the start of the down-stroke": Sign(2, _EMPTY),
        "knocks at the turn": Sign(2, _KNOCK),
        "will not prime": Sign(2, _NO_PRIME),
    },
    wants=((0.4, ()), (0.6, ("strainer",))),
)
