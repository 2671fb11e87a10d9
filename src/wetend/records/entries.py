"""Entries: the immutable record of who did what, when and where, and with which program version.

An entry is never changed. A correction is a new entry that names the one it corrects. What is shown
is folded from entries, so work done on two devices merges by union.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Annotated, Literal, Self

from pydantic import AfterValidator, AwareDatetime, Field, ValidationError, model_validator

from wetend import __version__
from wetend.errors import BadInput
from wetend.pump.catalogue import CatalogueItem, StockCounted
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.make_safe import MakeSafe, PumpRan
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
    Note,
    Photo,
    RebuildProgress,
    SetUpRequest,
    SignOff,
    StripProgress,
    ToolBag,
    VisitStart,
)
from wetend.pump.removed import Removed
from wetend.pump.site import Flushed, Incident, Mixed, SiteFacts
from wetend.pump.skipped import ActSkipped
from wetend.pump.usage import BroughtIn, Imported, NozzleMeasured, PartFitted, Usage
from wetend.records.build_cache import parse_pump
from wetend.records.ids import new_id
from wetend.units.fields import explain
from wetend.units.message import Message
from wetend.units.noun import Keepable, Line, Noun, Slug

EntryKind = Literal[
    "pump-described", "visit-started", "make-safe", "complaint", "coating", "check-readings",
    "tool-bag", "strip-progress", "ball", "seat", "rod", "cylinder", "seal-land", "packings",
    "rebuild-progress",
    "solvent-test", "stack", "proof", "set-up", "photo", "note", "sign-off", "withdrawn",
    "usage", "part-fitted", "nozzle", "pump-ran", "site", "mixed", "flushed", "incident",
    "catalogue-item", "stock-counted", "import", "pump-removed", "act-skipped",
]  # fmt: skip


class Withdrawn(Noun):
    """Takes the entry it corrects out of what is shown; the entry itself stays."""

    reason: Line = Field(default="", title=Message("Why"))
    brought_in: BroughtIn = ""
    """The import that is withdrawn or restored with all its rows."""


PAYLOADS: dict[EntryKind, type[Noun]] = {
    "pump-described": Pump,
    "visit-started": VisitStart,
    "make-safe": MakeSafe,
    "complaint": Complaint,
    "coating": Coating,
    "check-readings": CheckReadings,
    "tool-bag": ToolBag,
    "strip-progress": StripProgress,
    "rebuild-progress": RebuildProgress,
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
    "usage": Usage,
    "part-fitted": PartFitted,
    "nozzle": NozzleMeasured,
    "pump-ran": PumpRan,
    "site": SiteFacts,
    "mixed": Mixed,
    "flushed": Flushed,
    "incident": Incident,
    "catalogue-item": CatalogueItem,
    "stock-counted": StockCounted,
    "import": Imported,
    "pump-removed": Removed,
    "act-skipped": ActSkipped,
}
"""What each kind of entry carries. All payload numbers are SI."""


BY_FIELD: frozenset[EntryKind] = frozenset(
    {"complaint", "check-readings", "tool-bag", "ball", "seat", "rod", "cylinder",
     "seal-land", "packings", "solvent-test", "stack", "proof", "set-up", "site"}
)  # fmt: skip
"""Kinds whose entries change only the fields they name; the others say all there is to say.

A make-safe list is whole: one person's, of one moment, never put together from several.
"""
WHICH: frozenset[str] = frozenset({"end", "set"})
"""Fields that say which of several parts is meant."""
NO_PUMP = "no-pump"
"""The pump that an entry is kept under which has to do with none of the depot's, or with many."""
_WITHOUT_VISIT = (
    Pump, Withdrawn, Note, Photo, Usage, PartFitted, NozzleMeasured, Incident, CatalogueItem,
    StockCounted, Imported, Removed,
)  # fmt: skip
"""What may be kept outside a visit."""
_BY_KIND: Mapping[str, type[Noun]] = {str(kind): noun for kind, noun in PAYLOADS.items()}
_FIRST = datetime(1970, 1, 1, tzinfo=UTC)
_LAST = datetime(2200, 1, 1, tzinfo=UTC)
_LAST_MADE = f"{int(_LAST.timestamp() * 1000):012x}"
"""The same as ids begin: milliseconds since 1970 in hex."""


def _in_utc(at: datetime) -> datetime:
    if not _FIRST <= at < _LAST:
        raise ValueError(Message("the time must be between the years 1970 and 2199"))
    return at if at.tzinfo is UTC else at.astimezone(UTC)


def _of_sound_clock(made: str) -> str:
    if made[:12] >= _LAST_MADE:
        raise ValueError(
            Message("the clock of the device that made this is wrong; set it and try again")
        )
    return made


Id = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]
"""Time-ordered, made on the device (UUID version 7, RFC 9562), 32 hex digits."""
Moment = Annotated[AwareDatetime, AfterValidator(_in_utc)]
"""A time with its zone, kept in UTC."""


class Entry(Noun):
    """One entry as kept.

    ``kind`` is open: an entry made by a later version is kept whole and handed on, though this
    version can't read it (:func:`said_by`).
    """

    id: Annotated[Id, AfterValidator(_of_sound_clock)]
    kind: str = Field(pattern=r"^[a-z][a-z0-9-]{0,39}$")
    pump: Slug
    visit: Id | None = None
    at: Moment = Field(description="UTC")
    who: Line = ""
    place: Line = ""
    device: Line = ""
    version: Line = Field(default="", description=Message("Version of the sums"))
    corrects: Id | None = None
    payload: Annotated[str, Keepable] = Field(
        max_length=400_000, description=Message("JSON of the kind's noun")
    )

    @model_validator(mode="after")
    def _corrects_an_earlier(self) -> Self:
        if self.corrects is not None and self.corrects >= self.id:
            raise ValueError(Message("an entry corrects an earlier one"))
        return self


def new_entry(
    kind: EntryKind,
    noun: Noun,
    *,
    pump: str,
    visit: str | None = None,
    who: str = "",
    place: str = "",
    device: str = "",
    corrects: str | None = None,
    at: datetime | None = None,
) -> Entry:
    """A new entry of now, or of ``at`` (with its zone), ready to append.

    Raises:
        BadInput: the noun does not belong to the kind or the pump, or a field can't be used.
    """
    if type(noun) is not _BY_KIND.get(kind):
        raise BadInput(
            Message(
                "An entry of kind “{kind}” can't carry a {name}.",
                kind=kind,
                name=type(noun).__name__,
            )
        )
    try:
        entry = Entry(
            id=new_id(after=corrects), kind=kind, pump=pump, visit=visit,
            at=at or datetime.now(UTC), who=who, place=place, device=device,
            version=__version__, corrects=corrects,
            payload=noun.model_dump_json(exclude_unset=kind in BY_FIELD),
        )  # fmt: skip
    except ValidationError as error:
        raise explain(error, Entry) from error
    check(entry)
    return entry


def payload_of(entry: Entry) -> Noun:
    """What an entry says, checked again by its noun.

    Raises:
        BadInput: its kind or its payload is not known to this version.
    """
    noun = _BY_KIND.get(entry.kind)
    if noun is None:
        raise BadInput(
            Message(
                "Entry {id} is of kind “{kind}”, which this version does not know{entry}.",
                id=entry.id,
                kind=entry.kind,
                entry=_made_by(entry),
            )
        )
    try:
        return (
            parse_pump(entry.payload) if noun is Pump else noun.model_validate_json(entry.payload)
        )
    except ValidationError as error:
        problems = explain(error, noun)
        raise BadInput(
            Message(
                "Entry {id} ({kind}) can't be read{entry}: {problems}",
                id=entry.id,
                kind=entry.kind,
                entry=_made_by(entry),
                problems=problems,
            ),
            problems.problems,
        ) from error


def _made_by(entry: Entry) -> str:
    return (
        Message("; it was made by version {version}", version=entry.version)
        if entry.version
        else ""
    )


def check(entry: Entry) -> Noun:
    """What an entry says, if it can be read and fits the pump and visit it is kept under.

    Raises:
        BadInput: it can't, or it does not.
    """
    noun = payload_of(entry)
    spoken_of = {Pump: "key", VisitStart: "pump"}.get(type(noun))
    if spoken_of and getattr(noun, spoken_of) != entry.pump:
        raise BadInput(
            Message(
                "The entry is saved under pump “{pump}” but refers to “{noun}”.",
                pump=entry.pump,
                noun=getattr(noun, spoken_of),
            )
        )
    if isinstance(noun, Withdrawn) and entry.corrects is None:
        raise BadInput(Message("Name the entry to withdraw."))
    if entry.visit is None and not isinstance(noun, _WITHOUT_VISIT):
        raise BadInput(
            Message("An entry of kind “{kind}” belongs to a visit; name it.", kind=entry.kind)
        )
    if entry.visit is not None and isinstance(noun, Pump):
        raise BadInput(Message("A pump's description belongs to no visit; leave the visit out."))
    return noun


def unread_why(entry: Entry) -> str:
    """Why this version can't read an entry, for whoever repairs it; blank where it can."""
    try:
        check(entry)
    except BadInput as bad:
        named = (
            Message("Entry {id} ({kind}) ", id=entry.id, kind=entry.kind),
            Message("Entry {id} ", id=entry.id),
        )
        sentence = str(bad)
        for start in named:
            sentence = sentence.replace(start, "This entry ")
        return sentence
    return ""


def said_by(entry: Entry) -> Noun | None:
    """What an entry says, or ``None`` where this version can't read it."""
    try:
        return check(entry)
    except BadInput:
        return None
