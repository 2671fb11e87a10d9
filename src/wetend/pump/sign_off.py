"""The hand-over signed: who, what was found and fitted, and what the signature stands under."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetend.units.message import Message
from wetend.units.noun import Line, Name, Noun, Text
from wetend.units.quantity import CycleRate

SignedWord = Literal["", "pass", "watch", "fail", "not proven", "not applicable"]
"""The proof's verdict as it was shown to whoever signed; blank in records made before it was kept.
"not applicable": nothing was opened, so that no proof was due."""


class SignOff(Noun):
    """The hand-over signed."""

    technician: Name
    received_by: Line = ""
    found: Text = Field(default="", title=Message("What was found"))
    fitted: Text = Field(default="", title=Message("What was fitted"))
    watch: Text = Field(default="", title=Message("What to watch"))
    come_back: Line = Field(default="", title=Message("Return visit"))
    cycle_rate: CycleRate | None = Field(
        default=None, ge=0, le=10, title=Message("Cycles a minute seen")
    )
    reason: Text = Field(
        default="",
        title=Message("Why it is signed off although failed or not proven"),
        description=Message("Required then; shown at the top of the report"),
    )
    crew_told: bool = Field(default=False, title=Message("The crew was informed"))
    tagged: bool = Field(default=False, title=Message("The pump is tagged"))
    proof: SignedWord = Field(
        default="",
        title=Message("Proof as shown when signing"),
        description=Message("Filled in by the program"),
    )
    proof_why: Text = Field(
        default="",
        title=Message("Why, as shown when signing"),
        description=Message("Filled in by the program"),
    )
    entries_seen: int = Field(
        default=0,
        ge=0,
        le=1_000_000,
        title=Message("Entries of the visit when signing"),
        description=Message("Filled in by the program"),
    )
