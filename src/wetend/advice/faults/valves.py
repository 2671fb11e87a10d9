"""Faults of the two valves and of what runs with the piston."""

from __future__ import annotations

from dataclasses import replace

from wetend.advice.faults.changes import GAP, OPENING, over_lifting, steadily
from wetend.advice.faults.record import (
    Cause,
    Drop,
    Fault,
    Gap,
    Lump,
    Mending,
    MotionFault,
    Shown,
    Sign,
    SizeLaw,
)
from wetend.advice.pump_physics import Motion, foot_path, piston_path, score_path, seat_path
from wetend.pump.description import Pump
from wetend.units.message import Message
from wetend.units.quantity import M, N, unit_of

LIFT, STICK = 7e-3, 0.3
"""Middle sizes of a late foot valve: lift too far (m), force that frees a sticking ball (N)."""
_LEAK = SizeLaw(middle=0.12, spread=1.0, least=0.006)
_STICKS = SizeLaw(middle=0.1, spread=0.7)
"""Share of the stroke lost to a ball that dried coating holds: it lets go where it lets go, in any
liquid. Of the force that the model in time holds it by, hardly any lies between free and fast."""
_PULSES = Message("A fan that pulses with the strokes: a valve or packings on one side don't hold.")
_OPEN_FOOT = Mending(0, Message("Open the foot valve"), 12.0, "foot-valve")
_CARRIES = Message("a lump that a wash carries away")

_FOOT_GAP = Gap("foot_gap", foot_path, "foot", _LEAK, tight=6e-4, tight_spread=0.8)
FOOT = Cause(
    number=0,
    id="foot",
    chance=0.22,
    worn=True,
    effect=_FOOT_GAP,
    parts=("foot-ball", "foot-seat"),
    shows={"suction_lifted": Shown("share", 0.05), "solvent_test": Shown("share", 0.02)},
    carried_away={"wash": 0.5},
    motion=(
        MotionFault("foot-valve", Message("foot valve not holding"), OPENING, GAP, 1e-3, 100e-6,
                    steadily("foot_gap")),
    ),
)  # fmt: skip

FOOT_VALVE = Fault(
    id="foot-valve",
    title=Message("foot valve not holding"),
    short=Message("foot valve"),
    inside=True,
    causes=(FOOT,),
    mending=_OPEN_FOOT,
    open_first=Message("The foot valve: ball and seat, then the soft rings and the seal land."),
    signs={
        "runs but gives no pressure": Sign(
            4, Message("No pressure: a lump under a ball, or a ball dried to its seat.")
        ),
        "down-stroke quick": Sign(
            1, Message("A quick down-stroke means the foot valve lets coating back.")
        ),
        "creeps down at stall": Sign(
            1, Message("A rod that creeps down at stall has a foot valve that doesn't hold.")
        ),
        "fan pulses": Sign(1, _PULSES),
        "fan tails or pulses": Sign(2, _PULSES),
        "will not prime": Sign(
            3, Message("A pump that won't prime may have a foot valve stuck or not closing.")
        ),
    },
    wants=(
        (0.5, ()), (0.19, ("foot-ball", "soft-rings")), (0.12, ("foot-seat", "soft-rings")),
        (0.13, ("foot-ball", "foot-seat", "soft-rings")), (0.06, ("cage", "soft-rings")),
    ),
    life_parts=("foot-ball", "foot-seat"),
    leaks_by=_FOOT_GAP,
    lump=Lump(Message("a lump under the foot-valve ball, and the wash carried it away"), _CARRIES),
)  # fmt: skip
"""Half of those that don't hold have a lump under the ball, as the wash takes it."""


def _late(motion: Motion, pump: Pump, size: float) -> Motion:
    """A ball that comes home late: it lifts too far, and sticks."""
    return replace(
        motion, foot_lift=pump.foot_valve.lift_middle + LIFT * size, foot_stick=STICK * size
    )


LATE = Cause(
    number=11,
    id="late",
    chance=0.04,
    effect=Drop(
        _late,
        sizes=(-2.0, -1.0, 0.0, 1.0, 2.0),
        cycles=(1, 1, 1, 1, 1),
        slow_cycles=(1, 1, 1, 1, 1),
        unforeseen=True,
        anyhow=_STICKS,
    ),
    parts=("cage", "shim"),
    motion=(
        MotionFault(
            "foot-lift",
            Message("foot valve lifting too far"),
            Message("lift beyond the range's middle, m"),
            unit_of(M),
            0.05,
            2e-3,
            over_lifting,
        ),
        MotionFault(
            "foot-sticking",
            Message("foot-valve ball sticking"),
            Message("force that frees it, N"),
            unit_of(N),
            1e5,
            2.0,
            lambda m, _pump, size: replace(m, foot_stick=size),
        ),
    ),
)

FOOT_LATE = Fault(
    id="foot-late",
    title=Message("foot valve sticking or lifting too far"),
    short=Message("foot valve late"),
    inside=True,
    causes=(LATE,),
    mending=_OPEN_FOOT,
    open_first=Message(
        "The foot valve: does the ball stick, is the stack built right? Shims belong "
        "on top of the cage; beneath it they add to the lift."
    ),
    signs={
        "quick drop at the start of the down-stroke": Sign(
            3,
            Message(
                "A quick drop at first is also how a foot-valve ball looks that comes home late."
            ),
        ),
    },
    wants=((0.5, ()), (0.3, ("soft-rings",)), (0.2, ("cage", "soft-rings"))),
    both_ways=Message(
        "A ball that sticks and a stack that lets it lift too far read alike; opening shows which."
    ),
    rebuilt_lately=True,
)

SEAT = Cause(
    number=1,
    id="piston",
    chance=0.09,
    worn=True,
    effect=Gap("seat_gap", seat_path, "piston", _LEAK),
    words=Message("the piston valve's ball or seat"),
    parts=("piston-ball", "piston-seat"),
    carried_away={"wash": 0.2},
    motion=(
        MotionFault("piston-valve", Message("piston valve not holding"), OPENING, GAP, 1e-3, 100e-6,
                    steadily("seat_gap")),
    ),
)  # fmt: skip

_PACKINGS_GAP = Gap("piston_gap", piston_path, "piston", _LEAK, tight=6e-4, tight_spread=0.8)
PACKINGS = Cause(
    number=9,
    id="packings",
    chance=0.11,
    worn=True,
    effect=_PACKINGS_GAP,
    words=Message("the moving packings"),
    parts=("moving-packings",),
    motion=(
        MotionFault("packings", Message("moving packings worn"), OPENING, GAP, 1e-3, 60e-6,
                    steadily("piston_gap")),
    ),
)  # fmt: skip

BORE = Cause(
    number=10,
    id="bore",
    chance=0.025,
    worn=True,
    effect=Gap("score_gap", score_path, "piston", _LEAK),
    words=Message("a scored bore"),
    parts=("cylinder",),
    shows={"creep_place": Shown("size", 0.6)},
    motion=(
        MotionFault(
            "score",
            Message("bore scored"),
            Message("depth of the score, m"),
            GAP,
            2e-3,
            200e-6,
            steadily("score_gap"),
        ),
    ),
)

PISTON_VALVE = Fault(
    id="piston-valve",
    title=Message("piston valve or moving packings not holding"),
    short=Message("piston valve or packings"),
    inside=True,
    causes=(SEAT, PACKINGS, BORE),
    mending=Mending(1, Message("Open to the piston"), 20.0, "piston"),
    open_first=Message("The piston: its ball and seat, the moving packings, then the bore."),
    signs={
        "up-stroke quick": Sign(
            1,
            Message(
                "A quick up-stroke means coating slips past piston valve, packings or a "
                "scored bore."
            ),
        ),
        "creeps up at stall": Sign(
            1, Message("A rod that creeps up at stall: piston valve or moving packings don't hold.")
        ),
        "fan pulses": Sign(2, _PULSES),
        "fan tails or pulses": Sign(3, _PULSES),
    },
    wants=(
        (0.1, ()),
        (0.4, ("moving-packings",)),
        (0.2, ("piston-ball",)),
        (0.15, ("piston-ball", "piston-seat", "moving-packings")),
        (0.15, ("cylinder", "moving-packings")),
    ),
    life_parts=("piston-ball", "piston-seat", "moving-packings", "cylinder"),
    leaks_by=_PACKINGS_GAP,
    lump=Lump(Message("a lump under the piston's ball, and the wash carried it away"), _CARRIES),
    played_as="packings",
)
