"""What a site asks for, batches mixed there, and what went wrong or nearly did."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, AwareDatetime, Field

from wetend.units.noun import Known, Line, Noun, Text
from wetend.units.quantity import Kg, Pa, SAsHours, SAsMinutes

Moment = Annotated[AwareDatetime, AfterValidator(lambda at: at.astimezone(UTC))]
"""A time with its zone, kept in UTC."""


class SiteFacts(Noun):
    """What a site asks for and whom to ring; what is said last counts."""

    emergency_phone: Line = Field(
        default="", title="Emergency number", description="The site's number, or the public one"
    )
    confined_space: Known = Field(
        default="not known",
        title="Confined space",
        description="The pump or the work is in one",
    )
    permit: Line = Field(
        default="", title="Entry permit", description="Its number; it ends with this visit"
    )
    old_lead_paint: Known = Field(default="not known", title="Old lead paint")
    lifting_limit: Kg | None = Field(
        default=None, ge=1, le=500, title="Heaviest lift for one person",
        description="The site's limit; blank: 25 kg, common practice",
    )  # fmt: skip


class Mixed(Noun):
    """A two-pack batch mixed; from now on the clock runs."""

    at: Moment = Field(default_factory=lambda: datetime.now(UTC))
    pot_life: SAsHours | None = Field(
        default=None, ge=60, le=2_592_000, description="As mixed, 23 °C"
    )
    coating: Line = ""


class Flushed(Noun):
    """Pump, hose and gun flushed free of mixed coating; the clock stops."""

    at: Moment = Field(default_factory=lambda: datetime.now(UTC))


IncidentKind = Literal[
    "near miss", "injection under the skin", "other injury", "fire", "burst or whip",
    "something else",
]  # fmt: skip
"""What happened, in a word or two."""


class Incident(Noun):
    """A near miss or an injury, as written down at once; what is not known yet stays open."""

    kind: IncidentKind = Field(default="near miss", title="What happened")
    said: Text = Field(default="", title="In a few words")
    ago: SAsMinutes = Field(default=0.0, ge=0, le=31_536_000, title="How long ago")
    person: Line = Field(default="", title="Who", description="Only if they agree to be named")
    liquid: Line = Field(
        default="", title="Liquid injected or released", description="Coating, solvent, oil"
    )
    pressure: Pa | None = Field(default=None, ge=0, le=2e8, title="At what pressure")
    to_hospital: Known = Field(default="not known", title="Went to hospital")
    told: Line = Field(default="", title="Who has been informed")
