"""What a person asks of the pump in motion: which fault, how large, and how the gun is worked."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetend.units.message import Message
from wetend.units.noun import Line, Noun, Slug
from wetend.units.stated import stated

GunState = Literal["open", "pulsed", "stalled-down", "stalled-up"]
GUN_WORDS: dict[GunState, str] = {
    "open": Message("open, spraying"),
    "pulsed": Message("1 s open, 1 s shut"),
    "stalled-down": Message("shut, stalled going down"),
    "stalled-up": Message("shut, stalled going up"),
}
NO_FAULT = "none"


class SimulationRequest(Noun):
    """A pump to be simulated, with up to two faults in it.

    Faults go by the names of the model's own list. A size is text with a unit, since each fault has
    a size of its own kind; blank is the fault's typical size.
    """

    pump: Slug
    coating: Slug
    fault: Slug = "foot-valve"
    size: Line = Field(
        default="",
        title=Message("how large"),
        description=Message(
            "With its unit, like {length}; blank is typical", length=stated("0.1 mm")
        ),
    )
    also: Slug = Field(default=NO_FAULT, title=Message("second fault"))
    also_size: Line = Field(default="", title=Message("how large is the second"))
    cycles: int = Field(default=1, ge=1, le=6, description=Message("How many to show, 1 to 6"))
    gun: GunState = "open"
