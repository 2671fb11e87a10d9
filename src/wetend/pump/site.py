"""What a site asks for, batches mixed there, and what went wrong or nearly did."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated, Literal

from pydantic import AfterValidator, AliasChoices, AwareDatetime, Field

from wetend.units.message import Message
from wetend.units.noun import Known, Line, Noun, Text
from wetend.units.quantity import Kg, Pa, SAsHours, SAsMinutes
from wetend.units.stated import stated

Moment = Annotated[AwareDatetime, AfterValidator(lambda at: at.astimezone(UTC))]
"""A time with its zone, kept in UTC."""


class SiteFacts(Noun):
    """What a site asks for and whom to ring; what is said last counts."""

    emergency_phone: Line = Field(
        default="",
        title=Message("Emergency number"),
        description=Message("The site's number, or the public one"),
    )
    confined_space: Known = Field(
        default="not known",
        title=Message("Confined space"),
        description=Message("The pump or the work is in one"),
    )
    permit: Line = Field(
        default="",
        title=Message("Entry permit"),
        description=Message("Its number; it ends with this visit"),
    )
    old_lead_paint: Known = Field(default="not known", title=Message("Old lead paint"))
    lifting_limit: Kg | None = Field(
        default=None,
        ge=1,
        le=500,
        title=Message("Heaviest lift for one person"),
        description=Message(
            "The site's limit; blank: {mass}, common practice", mass=stated("25 kg")
        ),
    )


class Mixed(Noun):
    """A two-pack batch mixed; from now on the clock runs."""

    at: Moment = Field(default_factory=lambda: datetime.now(UTC))
    pot_life: SAsHours | None = Field(
        default=None, ge=60, le=2_592_000, description=Message("As mixed, 23 °C")
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

    kind: IncidentKind = Field(default="near miss", title=Message("What happened"))
    said: Text = Field(default="", title=Message("In a few words"))
    ago: SAsMinutes = Field(default=0.0, ge=0, le=31_536_000, title=Message("How long ago"))
    person: Line = Field(
        default="", title=Message("Who"), description=Message("Only if they agree to be named")
    )
    liquid: Line = Field(
        default="",
        title=Message("Liquid injected or released"),
        description=Message("Coating, solvent, oil"),
    )
    pressure: Pa | None = Field(default=None, ge=0, le=2e8, title=Message("At what pressure"))
    to_hospital: Known = Field(default="not known", title=Message("Went to hospital"))
    informed: Line = Field(
        default="",
        title=Message("Who has been informed"),
        validation_alias=AliasChoices("informed", "told"),
    )
