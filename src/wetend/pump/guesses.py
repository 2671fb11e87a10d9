"""What of a pump's description is a guess, in words, and on which results it weighs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import get_args

from wetend.pump.description import Pump
from wetend.pump.parts import Guessable
from wetend.units.message import Message, joined

GUESS_WORDS: Mapping[Guessable, str] = {
    "cylinder": Message("cylinder's length and wear limits"),
    "rod": Message("rod's length, packed travel and wear limits"),
    "foot_valve": Message("foot-valve ball, seat and lift"),
    "piston_valve": Message("piston ball, seat and lift"),
    "moving_packings": Message("moving packings"),
    "static_packings": Message("static packings and gland thread"),
    "stack": Message("heights of the stack, thread pitch and clamping force"),
    "drive": Message("drive's speed and friction"),
    "filter": Message("filter's opening and loss"),
    "suction": Message("suction line"),
    "hose": Message("hose's bore and length"),
    "nozzle": Message("nozzle's orifice"),
    "strip": Message("how the wet end comes apart"),
}
"""Each group that may be guessed, as it is called."""
_WEIGHS: Mapping[str, tuple[Guessable, ...]] = {
    "complaint": (),
    "checks": ("drive", "foot_valve", "piston_valve", "moving_packings", "filter", "suction",
               "hose", "nozzle"),
    "strip": ("strip",),
    "inspect": ("cylinder", "rod", "foot_valve", "piston_valve", "moving_packings",
                "static_packings"),
    "rebuild": ("stack", "foot_valve", "static_packings", "moving_packings"),
    "prove": ("drive", "foot_valve", "moving_packings", "hose"),
    "handover": ("drive", "filter", "hose", "nozzle", "suction"),
}  # fmt: skip
"""What the results of each stage are computed from."""


def guessed_at(pump: Pump, stage: str = "") -> tuple[Guessable, ...]:
    """What is guessed of what a stage's results hang on; without a stage, all that is guessed."""
    weighs = _WEIGHS.get(stage, get_args(Guessable))
    return tuple(part for part in weighs if part in pump.guessed)


def guess_line(pump: Pump, stage: str = "") -> str:
    """A sentence for results that hang on guesses; blank where none do."""
    parts = guessed_at(pump, stage)
    if not parts:
        return ""
    named = joined("; ", (GUESS_WORDS[part] for part in parts))
    return Message(
        "Computed with guesses, scaled from a similar pump and not measured: {named}.", named=named
    )


def still_guessed(before: Pump, after: Pump) -> tuple[Guessable, ...]:
    """What stays a guess once a description is put right: what is as it was guessed."""
    return tuple(part for part in before.guessed if getattr(before, part) == getattr(after, part))
