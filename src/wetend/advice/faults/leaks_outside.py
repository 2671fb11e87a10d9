"""Faults by which coating is lost to the outside: at the rod, or beyond the pump."""

from __future__ import annotations

from wetend.advice.faults.changes import GAP, OPENING, steadily
from wetend.advice.faults.record import (
    Cause,
    Fault,
    Gap,
    Mending,
    MotionFault,
    Shown,
    Sign,
    SizeLaw,
)
from wetend.advice.pump_physics import outside_path, static_path
from wetend.units.message import Message

_ROD_GAP = Gap(
    "static_gap", static_path, "rod", SizeLaw(middle=0.03, spread=0.9, least=0.004), tight=1e-4
)
STATIC = Cause(
    number=2,
    id="static",
    chance=0.18,
    worn=True,
    effect=_ROD_GAP,
    parts=("static-packings",),
    shows={"wet_cup": Shown("share", 0.004)},
    motion=(
        MotionFault(
            "static-packings",
            Message("static packings leaking"),
            OPENING,
            GAP,
            1e-3,
            50e-6,
            steadily("static_gap"),
        ),
    ),
)

STATIC_PACKINGS = Fault(
    id="static-packings",
    title=Message("static packings leaking"),
    short=Message("static packings"),
    inside=True,
    causes=(STATIC,),
    mending=Mending(2, Message("Set or change the static packings"), 10.0, "static-packings"),
    open_first=Message("The static packings: first the gland nut's setting, then the set."),
    signs={
        "both strokes quick": Sign(
            3, Message("Both strokes quick is also how leaking static packings look.")
        ),
        "coating in the wet cup": Sign(
            1, Message("Coating in the wet cup has come past the static packings.")
        ),
        "leak to the outside": Sign(
            2, Message("Only where it comes out at the rod is a leak the static packings'.")
        ),
    },
    wants=((0.2, ()), (0.65, ("static-packings",)), (0.15, ("static-packings", "rod"))),
    life_parts=("static-packings",),
    leaks_by=_ROD_GAP,
)

BEYOND = Cause(
    number=14,
    id="outside",
    chance=0.05,
    effect=Gap(
        "outside_gap", outside_path, "outside", SizeLaw(middle=0.07, spread=0.9, least=0.01)
    ),
    shows={"outside_looked": Shown("share", 0.006)},
    motion=(
        MotionFault("outside", Message("hose or dump valve leaking"), OPENING, GAP, 1e-3, 100e-6,
                    steadily("outside_gap")),
    ),
)  # fmt: skip

OUTSIDE = Fault(
    id="outside",
    title=Message("hose or dump valve leaking"),
    short=Message("leak outside"),
    causes=(BEYOND,),
    mending=Mending(8, Message("Tighten dump valve, hose or fitting"), 8.0),
    open_first=Message(
        "Outside the pump: dump valve shut and tight, hose and fittings dry. Look, "
        "with the pressure off; never feel for a leak."
    ),
    signs={
        "does not stop with the gun shut": Sign(
            1,
            Message(
                "A pump that runs on with the gun shut loses what it delivers, or has "
                "nothing to deliver: first dump valve and hose."
            ),
        ),
        "runs but gives no pressure": Sign(
            3, Message("No pressure with coating in it: a dump valve open, or a leak outside.")
        ),
        "both strokes quick": Sign(
            2,
            Message("Both strokes quick: a worn nozzle, a leak to the outside or an open bypass."),
        ),
        "leak to the outside": Sign(
            1,
            Message(
                "A leak to the outside: first hose, dump valve and fittings, looked at from "
                "aside with a light."
            ),
        ),
    },
    wants=((0.5, ()), (0.5, ("hose-kit",))),
)
