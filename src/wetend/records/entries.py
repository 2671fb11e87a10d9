"""Entries: the immutable record of who did what, when, where, with which version of the sums.

An entry is never changed. A correction is a new entry that names the one it corrects. What is shown
is folded from entries, so work done on two devices merges by union.
"""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from pydantic import Field

from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.measurements import (
    BallMeasured,
    CylinderMeasured,
    PackingsMeasured,
    ProofReadings,
    RodMeasured,
    SealLandMeasured,
    SeatMeasured,
    SolventTest,
    StackMeasured,
)
from wetend.pump.readings import (
    CheckReadings,
    Complaint,
    MakeSafe,
    Note,
    Photo,
    SetUpRequest,
    SignOff,
    StripProgress,
    ToolBag,
    VisitStart,
)
from wetend.units.noun import Line, Noun, Slug

EntryKind = Literal[
    "pump-described", "visit-started", "make-safe", "complaint", "coating", "check-readings",
    "tool-bag", "strip-progress", "ball", "seat", "rod", "cylinder", "seal-land", "packings",
    "solvent-test", "stack", "proof", "set-up", "photo", "note", "sign-off", "withdrawn",
]  # fmt: skip


class Withdrawn(Noun):
    """Takes the entry it corrects out of what is shown; the entry itself stays."""

    reason: Line = ""


PAYLOADS: dict[EntryKind, type[Noun]] = {
    "pump-described": Pump,
    "visit-started": VisitStart,
    "make-safe": MakeSafe,
    "complaint": Complaint,
    "coating": Coating,
    "check-readings": CheckReadings,
    "tool-bag": ToolBag,
    "strip-progress": StripProgress,
    "ball": BallMeasured,
    "seat": SeatMeasured,
    "rod": RodMeasured,
    "cylinder": CylinderMeasured,
    "seal-land": SealLandMeasured,
    "packings": PackingsMeasured,
    "solvent-test": SolventTest,
    "stack": StackMeasured,
    "proof": ProofReadings,
    "set-up": SetUpRequest,
    "photo": Photo,
    "note": Note,
    "sign-off": SignOff,
    "withdrawn": Withdrawn,
}
"""What each kind of entry carries. All payload numbers are SI."""


class Entry(Noun):
    """One entry as kept."""

    id: str = Field(
        pattern=r"^[0-9a-f]{32}$",
        description="Time-ordered, made on the device (UUID version 7, RFC 9562)",
    )
    kind: EntryKind
    pump: Slug
    visit: str | None = Field(default=None, pattern=r"^[0-9a-f]{32}$")
    at: datetime = Field(description="UTC")
    who: Line = ""
    place: Line = ""
    device: Line = ""
    version: Line = Field(default="", description="Version of the sums")
    corrects: str | None = Field(default=None, pattern=r"^[0-9a-f]{32}$")
    payload: str = Field(max_length=400_000, description="JSON of the kind's noun")
