"""Folds entries into the current state of a visit, a pump or a pump's history.

Folding depends on the set of entries alone, never on the order they came in or how often, so two
devices' work merges by union. The rules:

- corrections and withdrawals are settled first (:mod:`wetend.records.corrections`);
- of a form's answers the latest of each field counts: an entry changes only what it names (of
  measurements, for each part and end or set); of the other kinds the latest id counts; photos,
  notes and sign-offs all count, and so do marks of strip and rebuild: of each step the latest, done
  or withdrawn;
- what does not fit the pump, such as a height that can't be, is left out and named in ``unfit``;
- what this version can't read is left out and named in ``unread``, and in ``unfit`` with why
  until it is withdrawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, TypeVar

from pydantic import ValidationError

from wetend.advice.rebuild.entered import check_fits
from wetend.errors import BadInput, NotFound
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.make_safe import MakeSafe
from wetend.pump.measurements import (
    BallMeasured,
    CylinderMeasured,
    Measured,
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
from wetend.pump.site import Flushed, Mixed, SiteFacts
from wetend.pump.skipped import ActSkipped
from wetend.pump.usage import FITTED_WORDS, PartFitted, fitted_words
from wetend.records.corrections import Said, standing, taken_back
from wetend.records.entries import BY_FIELD, WHICH, Entry, said_by, unread_why
from wetend.units.fields import explain
from wetend.units.message import Message, joined
from wetend.units.noun import Noun, overlaid

STAGES = ("complaint", "checks", "strip", "inspect", "rebuild", "prove", "handover")
"""The seven stages of a visit, in order."""

HISTORY_KINDS = ("visit-started", "complaint", "sign-off", "withdrawn")
"""The kinds that a history is folded from; the others change nothing in it."""

NounT = TypeVar("NounT", bound=Noun)
MarksT = TypeVar("MarksT", StripProgress, RebuildProgress)
_MEASURED = (
    BallMeasured, SeatMeasured, RodMeasured, CylinderMeasured, SealLandMeasured,
    PackingsMeasured, SolventTest,
)  # fmt: skip


@dataclass(frozen=True)
class ExcludedEntry:
    """An entry that is excluded from the current state, and why."""

    entry: Entry
    why: str


@dataclass(frozen=True)
class Visit:
    """One visit as it stands."""

    id: str
    pump: Pump
    started: datetime
    start: VisitStart
    make_safe: MakeSafe | None
    complaint: Complaint | None
    coating: Coating | None
    readings: CheckReadings | None
    bag: ToolBag | None
    progress: StripProgress | None
    measured: tuple[Measured, ...]
    """The latest of each part and end or set, part by part."""
    stack: StackMeasured | None
    proof: ProofReadings | None
    set_up: SetUpRequest | None
    sign_off: SignOff | None
    photos: tuple[Photo, ...]
    notes: tuple[Note, ...]
    entries: tuple[Entry, ...]
    """Every entry of the visit, corrected and withdrawn ones too, in the order of their ids."""
    unread: tuple[Entry, ...]
    """Entries of the visit that this version can't read."""
    rebuilt: RebuildProgress | None = None
    site: SiteFacts | None = None
    batches: tuple[Mixed | Flushed, ...] = ()
    """Two-pack batches mixed and flushed out, in the order of their times."""
    fitted: tuple[PartFitted, ...] = ()
    """What was done with the parts, the latest of each, in the order shown."""
    unfit: tuple[ExcludedEntry, ...] = ()
    """Entries left out because they can't be of this pump or can't be read, each with why."""
    signatures: tuple[tuple[Entry, SignOff], ...] = ()
    """Every sign-off that stands, with its entry, the earliest first."""
    skipped: tuple[ActSkipped, ...] = ()
    """Acts that could not be done, the latest said of each."""

    @property
    def later(self) -> tuple[Entry, ...]:
        """Entries made after the last signature."""
        if not self.signatures:
            return ()
        return tuple(e for e in self.entries if e.id > self.signatures[-1][0].id)

    @property
    def closed(self) -> bool:
        """Whether the hand-over is signed."""
        return self.sign_off is not None

    @property
    def done(self) -> dict[str, bool]:
        """For each stage, whether its own entry is there."""
        reached = (
            self.complaint, self.readings, self.progress, self.measured or None, self.stack,
            self.proof, self.sign_off,
        )  # fmt: skip
        return {stage: got is not None for stage, got in zip(STAGES, reached, strict=True)}


@dataclass(frozen=True)
class VisitSummary:
    """One line of a pump's history."""

    id: str
    pump: str
    started: datetime
    complaint: str
    fitted: str
    closed: bool
    proof: str = ""
    """The proof's verdict it was signed under, in a word; blank where none is kept."""
    reason: str = ""
    """Why it was signed off although failed or not proven, as whoever signed wrote it."""
    come_back: str = ""
    """The return visit agreed at the hand-over."""
    signed: datetime | None = None
    """When it was signed off last; ``None`` of an open one."""


def _latest(said: Iterable[Said], noun: type[NounT]) -> NounT | None:
    found = None
    for each in said:
        if isinstance(each.noun, noun):
            found = each.noun
    return found


@dataclass
class _Answers:
    """What a visit's entries say, those left out that can't be of this pump."""

    pump: Pump
    said: list[Said] = field(default_factory=list)
    unfit: list[ExcludedEntry] = field(default_factory=list)
    latest: dict[tuple[type[Noun], str], Noun] = field(default_factory=dict)
    """Of forms, by noun and part or end: of each field the latest that was named."""

    def take(self, each: Said) -> None:
        noun = each.noun
        which = next((str(getattr(noun, f)) for f in WHICH if f in type(noun).model_fields), "")
        place = type(noun), which
        try:
            check_fits(self.pump, noun)
            if each.entry.kind in BY_FIELD:
                before = self.latest.get(place)
                self.latest[place] = noun if before is None else overlaid(before, noun)
        except BadInput as why:
            self.unfit.append(ExcludedEntry(each.entry, str(why)))
        except ValidationError as why:
            self.unfit.append(ExcludedEntry(each.entry, str(explain(why, type(noun)))))
        else:
            self.said.append(each)

    def of(self, noun: type[NounT]) -> NounT | None:
        found = self.latest.get((noun, ""))
        return found if isinstance(found, noun) else None

    def measured(self) -> tuple[Measured, ...]:
        """The latest of each part and end or set, part by part."""
        places = [place for place in self.latest if place[0] in _MEASURED]
        found = [
            self.latest[p] for p in sorted(places, key=lambda p: (_MEASURED.index(p[0]), p[1]))
        ]
        return tuple(noun for noun in found if isinstance(noun, _MEASURED))


def _all(said: Iterable[Said], noun: type[NounT]) -> tuple[NounT, ...]:
    return tuple(each.noun for each in said if isinstance(each.noun, noun))


def _marks(said: Iterable[Said], noun: type[MarksT]) -> MarksT | None:
    """Steps that stand done, in the order first done: of each the latest mark counts.

    The latest is the one made last, whenever it came in from its device.
    """
    done: dict[str, None] = {}
    found = anew = False
    for each in (s.noun for s in sorted(said, key=_made)):
        if isinstance(each, StripProgress) and each.anew:
            done.clear()
            anew = True
        if isinstance(each, noun):
            found = True
            done |= dict.fromkeys(each.done)
            for key in each.undone:
                done.pop(key, None)
    changed: dict[str, Any] = {"anew": True} if anew and noun is StripProgress else {}
    return noun.model_construct(done=tuple(done), **changed) if found else None


def _made(said: Said) -> tuple[datetime, str]:
    return said.entry.at, said.entry.id


def decided_at(
    visit: Visit, noun: type[StripProgress] | type[RebuildProgress]
) -> Callable[[str], datetime | None]:
    """When each step of a strip or rebuild was last marked, withdrawn or restarted."""
    steps: dict[str, datetime] = {}
    anew = None
    for each in sorted(standing(visit.entries), key=_made):
        if isinstance(each.noun, StripProgress) and each.noun.anew:
            anew = each.entry.at
        if isinstance(each.noun, noun):
            steps |= dict.fromkeys((*each.noun.done, *each.noun.undone), each.entry.at)

    def decided(step: str) -> datetime | None:
        return max((at for at in (steps.get(step), anew) if at is not None), default=None)

    return decided


def fitted_of(said: Iterable[Said]) -> tuple[PartFitted, ...]:
    """What was done with the parts of one visit: of each the latest, in the order shown.

    A form sent twice, or by two people, says each part once.
    """
    latest = {s.noun.part: s.noun for s in said if isinstance(s.noun, PartFitted)}
    return tuple(latest[part] for part in FITTED_WORDS if part in latest)


def _skipped(said: Iterable[Said]) -> tuple[ActSkipped, ...]:
    latest = {noun.act: noun for noun in _all(said, ActSkipped)}
    return tuple(noun for noun in latest.values() if not noun.again)


def _described(said: Iterable[Said], pump: str, signed: Entry | None) -> Pump:
    """The pump as it was known when the visit was signed, or as it is known now."""
    known = [s for s in said if isinstance(s.noun, Pump) and s.entry.pump == pump]
    before = [s for s in known if signed is None or s.entry.id < signed.id]
    chosen = _latest(before or known[:1], Pump)
    if chosen is None:
        raise NotFound(Message("Pump “{pump}” is not described in this record.", pump=pump))
    return chosen


def _visit_of(entries: Iterable[Entry]) -> str | None:
    visits = {entry.visit for entry in entries if entry.visit is not None}
    if len(visits) > 1:
        raise BadInput(Message("These entries belong to several visits; fold one at a time."))
    return next(iter(visits), None)


def _started(entries: Iterable[Entry], visit: str) -> datetime:
    """When the visit began: a start corrected later began when it was first entered."""
    return min(e.at for e in entries if e.kind == "visit-started" and e.visit == visit)


def fold_visit(entries: Iterable[Entry]) -> Visit:
    """A visit from its entries and its pump's description, in any order.

    The pump is as described when the visit was signed off; in an open visit, as described last.

    Raises:
        NotFound: no entry starts the visit, or its pump is not described among the entries.
        BadInput: the entries belong to several visits.
    """
    given = tuple(sorted(set(entries), key=lambda e: e.id))
    said = standing(given)
    start = _latest(said, VisitStart)
    visit = _visit_of(given)
    if start is None or visit is None:
        raise NotFound(Message("There is no such visit in this record."))
    signed = [s.entry for s in said if isinstance(s.noun, SignOff)]
    own = tuple(e for e in given if e.visit == visit)
    pump = _described(said, start.pump, signed[-1] if signed else None)
    return _folded(visit, own, [s for s in said if s.entry.visit == visit], pump)


def as_signed(visit: Visit, signature: Entry) -> Visit:
    """The visit as it stood when it was signed: nothing entered later counts."""
    own = tuple(e for e in visit.entries if e.id <= signature.id)
    return _folded(visit.id, own, standing(own), visit.pump)


def _folded(visit: str, own: tuple[Entry, ...], said: Iterable[Said], pump: Pump) -> Visit:
    answers = _Answers(pump)
    for each in said:
        answers.take(each)
    known = tuple(answers.said)
    unread = tuple(e for e in own if said_by(e) is None)
    gone = taken_back(own) if unread else frozenset()
    lost = [ExcludedEntry(e, unread_why(e)) for e in unread if e.id not in gone]
    start = _latest(known, VisitStart)
    if start is None:
        raise NotFound(Message("There is no such visit in this record."))
    return Visit(
        id=visit, started=_started(own, visit), start=start, pump=pump,
        make_safe=_latest(known, MakeSafe), complaint=answers.of(Complaint),
        coating=_latest(known, Coating), readings=answers.of(CheckReadings),
        bag=answers.of(ToolBag), progress=_marks(known, StripProgress),
        measured=answers.measured(), stack=answers.of(StackMeasured),
        proof=answers.of(ProofReadings), set_up=answers.of(SetUpRequest),
        sign_off=_latest(known, SignOff), photos=_all(known, Photo), notes=_all(known, Note),
        entries=own, unread=unread,
        skipped=_skipped(known), rebuilt=_marks(known, RebuildProgress), site=answers.of(SiteFacts),
        batches=tuple(sorted((*_all(known, Mixed), *_all(known, Flushed)), key=lambda b: b.at)),
        fitted=fitted_of(known),
        unfit=tuple(sorted((*answers.unfit, *lost), key=lambda u: u.entry.id)),
        signatures=tuple((s.entry, s.noun) for s in known if isinstance(s.noun, SignOff)),
    )  # fmt: skip


def latest_of(visit: Visit, noun: NounT) -> NounT | None:
    """What stands in a visit of the same form as ``noun``: of measurements, of the same part."""
    held = (
        visit.complaint, visit.readings, visit.bag, *visit.measured, visit.stack,
        visit.proof, visit.set_up, visit.site,
    )  # fmt: skip
    for each in held:
        if isinstance(each, type(noun)) and all(
            getattr(each, name, None) == getattr(noun, name, None) for name in WHICH
        ):
            return each
    return None


def fold_pump(entries: Iterable[Entry]) -> Pump:
    """A pump as described last.

    Raises:
        NotFound: no entry describes it.
    """
    found = _latest(standing(entries), Pump)
    if found is None:
        raise NotFound(Message("There is no such pump in this record."))
    return found


def removals(entries: Iterable[Entry]) -> tuple[Said, ...]:
    """What takes a pump removed from the lists; empty where it is in them.

    One described again after that is in them again.
    """
    said = standing(entries)
    described = max((s.entry.id for s in said if isinstance(s.noun, Pump)), default="")
    return tuple(s for s in said if isinstance(s.noun, Removed) and s.entry.id > described)


def fold_history(entries: Iterable[Entry]) -> tuple[VisitSummary, ...]:
    """The visits among entries, the newest first. A withdrawn visit is left out.

    Entries of :data:`HISTORY_KINDS` are enough, but for what was fitted and never signed.
    """
    given = list(entries)
    visits: dict[str, list[Said]] = {}
    for said in standing(given):
        if said.entry.visit is not None:
            visits.setdefault(said.entry.visit, []).append(said)
    starts = [e for e in given if e.kind == "visit-started"]
    lines = [_summary(visit, own, starts) for visit, own in visits.items() if _has_start(own)]
    return tuple(sorted(lines, key=lambda v: (v.started, v.id), reverse=True))


def _has_start(said: Iterable[Said]) -> bool:
    return _latest(said, VisitStart) is not None


def _summary(visit: str, said: Sequence[Said], starts: Iterable[Entry]) -> VisitSummary:
    last = next((s for s in reversed(said) if isinstance(s.noun, SignOff)), None)
    signed = _latest(said, SignOff)
    return VisitSummary(
        id=visit, pump=said[-1].entry.pump, started=_started(starts, visit),
        complaint=_complaint_line(said),
        fitted=(signed.fitted if signed else "") or fitted_words(fitted_of(said)),
        closed=signed is not None, proof=signed.proof if signed else "",
        reason=signed.reason if signed else "", come_back=signed.come_back if signed else "",
        signed=last.entry.at if last else None,
    )  # fmt: skip


def _complaint_line(own: Sequence[Said]) -> str:
    """What was said, else what was seen, else why the call was made."""
    complaint, start = _latest(own, Complaint), _latest(own, VisitStart)
    said = complaint.said.splitlines()[0] if complaint and complaint.said else ""
    seen = joined(", ", complaint.seen) if complaint else ""
    return said or seen or (start.reason if start else "")
