"""Use of a pump and parts fitted: the raw data of life calculations."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import AliasChoices, Field, model_validator

from wetend.pump.coating import Abrasiveness
from wetend.units.message import Message, joined, raised
from wetend.units.noun import Line, Noun, Slug
from wetend.units.quantity import M3, KgPerM3, M, M2Large, Pa, S, SAsHours

LifePart = Literal[
    "static-packings", "moving-packings", "foot-ball", "foot-seat", "piston-ball", "piston-seat",
    "cylinder", "rod", "nozzle", "outlet-filter",
]  # fmt: skip
"""Parts whose lives are followed."""

PART_WORDS: dict[LifePart, str] = {
    "static-packings": Message("static packings"),
    "moving-packings": Message("moving packings"),
    "foot-ball": Message("foot-valve ball"),
    "foot-seat": Message("foot-valve seat face"),
    "piston-ball": Message("piston ball"),
    "piston-seat": Message("piston seat face"),
    "cylinder": Message("cylinder"),
    "rod": Message("rod"),
    "nozzle": Message("nozzle"),
    "outlet-filter": Message("outlet filter"),
}
"""What each is called, in the order shown."""

LIFE_PARTS: tuple[LifePart, ...] = tuple(PART_WORDS)
"""Every part followed, in the order shown."""

FittedPart = Literal[
    "static-packings", "moving-packings", "foot-ball", "foot-seat", "piston-ball", "piston-seat",
    "cylinder", "rod", "nozzle", "outlet-filter", "soft-rings", "cage", "strainer",
]  # fmt: skip
"""What a visit fits: the parts whose lives are followed, and what goes in with them."""

FITTED_WORDS: dict[FittedPart, str] = {
    "static-packings": Message("static packings"),
    "moving-packings": Message("moving packings"),
    "foot-ball": Message("foot-valve ball"),
    "foot-seat": Message("foot-valve seat"),
    "piston-ball": Message("piston ball"),
    "piston-seat": Message("piston seat"),
    "cylinder": Message("cylinder"),
    "rod": Message("rod"),
    "nozzle": Message("nozzle"),
    "outlet-filter": Message("outlet filter"),
    "soft-rings": Message("soft rings"),
    "cage": Message("foot-valve cage"),
    "strainer": Message("strainer and suction seals"),
}
"""What each is called as something to fit and to buy."""

Done = Literal["new", "turned", "put back", "not touched"]
"""What was done with a part on a visit: *new* and *turned* begin a life."""
TURNS: frozenset[FittedPart] = frozenset({"foot-seat", "piston-seat", "cylinder"})
"""Parts that can be turned to a face or an end still fresh."""

Why = Literal["worn out", "found worn", "planned", "damaged", "first fitted"]
"""Why a part was fitted.

*worn out*: the one before stopped the pump. *found worn*: it was found past its limit when opened,
so it failed some time since it was last seen sound. *planned*: it was taken out still good.
*damaged*: something else spoilt it (a dropped tool, shot in the drum). *first fitted*: with the new
pump.
"""

BroughtIn = Annotated[str, Field(pattern=r"^([0-9a-f]{32})?$")]
"""Id of the import that a row came with; blank for what was entered by hand."""

_EARLIEST = date(1970, 1, 1)
_LATEST = date(2199, 12, 31)


class Usage(Noun):
    """What a pump did over some days: by cycle counter, litres, hours, or the area coated.

    Give at least one; the most direct is used. ``coating`` or ``abrasiveness`` says what wore it.
    Earlier entries called ``pumped`` litres and ``at_work`` hours, and held the same: m3 and s.
    """

    typed_as: ClassVar[Mapping[str, tuple[str, str]]] = {
        "litres": ("pumped", "L"), "hours": ("at_work", "h"),
    }  # fmt: skip

    first: date = Field(
        title=Message("First day"), description=Message("Like 2031-05-04"), ge=_EARLIEST, le=_LATEST
    )
    last: date = Field(
        title=Message("Last day"), description=Message("Like 2031-05-31"), ge=_EARLIEST, le=_LATEST
    )
    cycles: float | None = Field(
        default=None,
        ge=0,
        le=1e9,
        description=Message("From the counter: one up and one down is a cycle"),
    )
    pumped: M3 | None = Field(
        default=None, ge=0, le=1e5, title=Message("Pumped"),
        validation_alias=AliasChoices("pumped", "litres"),
    )  # fmt: skip
    at_work: SAsHours | None = Field(
        default=None, ge=0, le=4e7, title=Message("Time at work"),
        validation_alias=AliasChoices("at_work", "hours"),
    )  # fmt: skip
    area: M2Large | None = Field(default=None, ge=0, le=1e7, title=Message("Area coated"))
    coating: Slug | None = Field(default=None, description=Message("Its key, if it is known here"))
    abrasiveness: Abrasiveness | None = None
    pressure: Pa | None = Field(
        default=None, ge=1e4, le=2e8, title=Message("Gauge while spraying, if known")
    )
    note: Line = ""
    brought_in: BroughtIn = Field(default="", description=Message("Filled in by the program"))

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.last < self.first:
            raise ValueError(Message("the last day lies before the first"))
        if (self.last - self.first).days > 3660:
            raise ValueError(Message("give at most ten years at once"))
        if all(v is None for v in (self.cycles, self.pumped, self.at_work, self.area)):
            raise ValueError(
                Message("give the cycles, what was pumped, the time at work or the area")
            )
        return self


class PartFitted(Noun):
    """What was done with a part: fitted new, turned, put back or left alone; and why."""

    part: FittedPart
    why: Why = Field(default="found worn", title=Message("Why the old part was replaced"))
    on: date | None = Field(
        default=None,
        title=Message("Day"),
        description=Message("Blank: the day this is entered"),
        ge=_EARLIEST,
        le=_LATEST,
    )
    done: Done = Field(default="new", title=Message("What was done"))
    note: Line = ""
    brought_in: BroughtIn = Field(default="", description=Message("Filled in by the program"))

    @model_validator(mode="before")
    @classmethod
    def _as_kept_before(cls, said: Any) -> Any:
        """Earlier entries had a tick for a part turned, and said nothing of one put back."""
        if isinstance(said, dict) and "turned" in said:
            said = dict(said)
            if said.pop("turned") and "done" not in said:
                said["done"] = "turned"
        return said

    @property
    def begins_a_life(self) -> bool:
        """Whether the part's life begins here."""
        return self.done in ("new", "turned")


class Imported(Noun):
    """A table imported: its uses and parts fitted name it, so that all go and come together."""

    file: Line = ""
    rows: int = Field(ge=1, le=1_000_000, description=Message("In the table"))
    uses: int = Field(ge=0, le=1_000_000, description=Message("Kept"))
    fitted: int = Field(ge=0, le=1_000_000, description=Message("Kept"))
    left_out: int = Field(
        default=0, ge=0, le=1_000_000, title=Message("Rows that could not be used")
    )
    readings: Mapping[Line, Line] = Field(
        default_factory=dict, max_length=2000, title=Message("What texts were read as"),
    )  # fmt: skip


def fitted_words(fitted: Iterable[PartFitted]) -> str:
    """What was fitted, in a sentence; blank where nothing was."""
    problems = []
    for each in fitted:
        if each.begins_a_life:
            done = Message("turned") if each.done == "turned" else Message("new")
            why = joined(", ", filter(None, (Message(each.why), each.note)))
            part = FITTED_WORDS[each.part]
            problems.append(Message("{part} {done} ({why})", part=part, done=done, why=why))
    said = joined("; ", problems)
    return Message("{said}.", said=raised(said)) if said else ""


class NozzleMeasured(Noun):
    """A nozzle looked at: what it lets through out of a pail, or how wide its fan still is."""

    volume: M3 | None = Field(
        default=None, ge=1e-7, le=1, title=Message("Drawn from the measuring pail")
    )
    time: S | None = Field(default=None, ge=0.1, le=3600, title=Message("In this time"))
    pressure: Pa | None = Field(default=None, ge=1e4, le=2e8, title=Message("Gauge while spraying"))
    density: KgPerM3 | None = Field(
        default=None, ge=500, le=6000, description=Message("Blank: that of the coating in the pump")
    )
    fan: tuple[Annotated[M, Field(ge=0.001, le=5)], ...] = Field(
        default=(), max_length=12, title=Message("Width of the fan now"),
        description=Message("Several passes, at one distance"),
    )  # fmt: skip
    fan_new: M | None = Field(
        default=None,
        ge=0.001,
        le=5,
        title=Message("Width when new"),
        description=Message("At the same distance"),
    )
    on: date | None = Field(
        default=None,
        title=Message("Day"),
        description=Message("Blank: the day this is entered"),
        ge=_EARLIEST,
        le=_LATEST,
    )
    note: Line = ""

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        flow = (self.volume, self.time, self.pressure)
        if all(v is None for v in flow) and not (self.fan and self.fan_new):
            raise ValueError(
                Message("give the pail's volume, time and pressure, or the fan now and new")
            )
        if any(v is None for v in flow) and any(v is not None for v in flow):
            raise ValueError(Message("a pail test needs the volume, the time and the gauge"))
        if bool(self.fan) != bool(self.fan_new):
            raise ValueError(Message("the fan needs its width now and when new"))
        return self
