"""Whether zero is proven: who proved it, when, by what, and what ended it.

Zero once proven stands for the person who proved it, on that day, until anything brings pressure
back. Every question about the gate is answered here, from the events of one visit.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final, Literal

from wetend.advice.safety.checklist import missing, way_words
from wetend.pump.make_safe import MakeSafe
from wetend.pump.parts import DriveKind
from wetend.units.message import Message, joined
from wetend.units.show import SHORT_MONTHS

SKEW: Final = timedelta(minutes=2)
"""How far clocks of two devices kept by a network may differ before one counts as wrong."""

_NAMELESS: Final = Message("Enter your name: a list without a name proves nothing.")

EventKind = Literal["list", "pressure", "taken-back", "handed-over", "other"]


@dataclass(frozen=True)
class Event:
    """Something in a visit's record that bears on zero."""

    id: str
    """Ids are in the order the record was written."""
    at: datetime
    """When it was done."""
    who: str
    kind: EventKind
    what: str = ""
    """Of pressure: what was done, in words. Of a list withdrawn: the list's id."""
    ticked: MakeSafe | None = None
    late: bool = False
    """Written down later than it was done, so that its time counts and not its place."""


@dataclass(frozen=True)
class Ended:
    """What ended a proof of zero."""

    at: datetime
    who: str
    why: str


@dataclass(frozen=True)
class Proven:
    """Zero proven once."""

    id: str
    who: str
    at: datetime
    way: str
    """By what, in words."""
    by_gauge: bool
    ends: tuple[Ended, ...] = ()
    """All that has ended it since, the earliest first."""

    @property
    def said(self) -> str:
        """Who, when and by what, as one phrase."""
        return Message("{who}, {at}, {way}", who=self.who, at=when(self.at), way=self.way)


@dataclass(frozen=True)
class Zero:
    """Whether zero is proven for one person at one moment."""

    stands: bool
    proven: Proven | None
    """The proof that stands or that stood last; ``None`` where there was none."""
    why_not: str
    """One or two sentences; ``""`` where it stands."""
    missing: tuple[str, ...] = ()
    """What the list saved last still lacks."""

    @property
    def line(self) -> str:
        """All of it in one line."""
        if self.proven is None:
            bare = Message("Zero is not proven.")
            return joined(" ", (bare, self.why_not)) if self.why_not else bare
        if self.stands:
            return Message("Zero proven by {said}.", said=self.proven.said)
        return Message(
            "Zero was proven by {said}. {why_not}", said=self.proven.said, why_not=self.why_not
        )


@dataclass(frozen=True)
class Record:
    """Every proof of zero of one visit, and what its last list lacks."""

    proofs: tuple[Proven, ...]
    missing: tuple[str, ...] = ()
    """What the last list lacks; empty where it is whole or there is none."""
    blocked: bool = False
    """Whether a blockage is suspected and not cleared."""


def when(at: datetime) -> str:
    """A moment on this machine's clock: ``"4 May 2031, 11:05"``."""
    here = at.astimezone()
    month = SHORT_MONTHS[here.month - 1]
    return Message("{day} {month} {here:%Y, %H:%M}", day=here.day, month=month, here=here)


def same_person(one: str, other: str) -> bool:
    """Whether two names are of one person: as people write it, whatever the case and gaps.

    >>> same_person("J.  Vantrell", "j. vantrell"), same_person("", "")
    (True, False)
    """
    plain = (joined(" ", one.split()).casefold(), joined(" ", other.split()).casefold())
    return plain[0] == plain[1] != ""


def _ends(event: Event, proof: Event) -> bool:
    """Whether an event comes after a proof, for all that can be known."""
    if (event.at, event.id) > (proof.at, proof.id):
        return True
    return event.id > proof.id and not event.late


def _why(event: Event, proof: Event, *, whole: bool) -> str:
    """Why an event that comes after a proof ends it; ``""`` where it does not."""
    if event.kind == "pressure":
        return event.what
    if event.kind == "handed-over":
        return Message("the pump was handed over")
    if event.kind == "taken-back" and event.what == proof.id:
        return Message("the list was withdrawn")
    if event.kind == "list" and not whole:
        return Message("a list with something missing was saved")
    if not event.late and event.at < proof.at - SKEW:
        return Message("the clock it was proven by was wrong")
    return ""


def record_of(
    events: Iterable[Event], drive: DriveKind, doubted: Mapping[str, bool] | None = None
) -> Record:
    """Every proof of zero among a visit's events, with what ended it.

    A list proves zero if nothing of it lacks and somebody put a name to it. A blockage once
    suspected is suspected until it is cleared step by step, whatever a later list says of it.

    Args:
        events: in any order.
        drive: the pump's kind of drive.
        doubted: by the id of a list: whether readings before it have shown the gauge dead.
    """
    in_order = sorted(events, key=lambda e: e.id)
    lacks, blocked = _lacks(in_order, drive, doubted or {})
    proofs = tuple(_proven(e, in_order, lacks) for e in in_order if lacks.get(e.id) == ())
    return Record(proofs, next(reversed(lacks.values()), ()), blocked)


def _lacks(
    events: Sequence[Event], drive: DriveKind, doubted: Mapping[str, bool]
) -> tuple[dict[str, tuple[str, ...]], bool]:
    """What each list lacks, by its id, in the order of the record; and whether it is blocked."""
    blocked = False
    found: dict[str, tuple[str, ...]] = {}
    for event in events:
        if event.ticked is None:
            continue
        ticked = event.ticked
        if ticked.blockage in ("suspected", "cleared"):
            blocked = not ticked.clear
        elif blocked and ticked.blockage == "ran free":
            ticked = ticked.model_copy(update={"blockage": "suspected"})
        named = () if event.who.strip() else (_NAMELESS,)
        left = missing(ticked, drive, doubted=doubted.get(event.id, False))
        found[event.id] = (*left, *named)
    return found, blocked


def _proven(proof: Event, events: Sequence[Event], lacks: Mapping[str, tuple[str, ...]]) -> Proven:
    assert proof.ticked is not None
    ends = sorted(
        (
            Ended(e.at, e.who, why)
            for e in events
            if e.id != proof.id
            and _ends(e, proof)
            and (why := _why(e, proof, whole=lacks.get(e.id) == ()))
        ),
        key=lambda end: end.at,
    )
    return Proven(
        proof.id, proof.who, proof.at, way_words(proof.ticked), proof.ticked.way == "gauge",
        tuple(ends),
    )  # fmt: skip


def standing(record: Record, who: str, at: datetime | None = None) -> Zero:
    """Whether zero is proven for a person, now or at a moment past.

    Args:
        record: of the visit.
        who: the person at work.
        at: the moment, with its zone; ``None`` is now, when all that is known counts.
    """
    then = at or datetime.now(UTC)
    proofs = [p for p in record.proofs if p.at <= then]
    mine = [p for p in proofs if same_person(p.who, who)]
    stood = next((p for p in reversed(mine) if not _over(p, then, at)), None)
    if stood is not None:
        return Zero(stands=True, proven=stood, why_not="", missing=())
    last = (mine or proofs)[-1] if proofs else None
    return Zero(
        stands=False, proven=last, missing=record.missing,
        why_not=_over(last, then, at) or _not_yours(last, who) if last else _never(record, then),
    )  # fmt: skip


def _over(proof: Proven, then: datetime, asked: datetime | None) -> str:
    """Why a proof no longer stands at a moment, as a sentence; ``""`` where it does."""
    end = next((e for e in proof.ends if asked is None or e.at <= then), None)
    if end is not None and _same_day(end.at, proof.at):
        if not end.who or same_person(end.who, proof.who):
            return Message("Since then: {why}, {at}. Prove it again.", why=end.why, at=when(end.at))
        return Message(
            "Since then: {why}, {at} ({who}). Prove it again.",
            why=end.why,
            at=when(end.at),
            who=end.who,
        )
    if end is not None or not _same_day(then, proof.at):
        return Message("That was on another day. Prove it again.")
    return ""


def _same_day(one: datetime, other: datetime) -> bool:
    """Whether two moments are on one day of this machine's clock."""
    return one.astimezone().date() == other.astimezone().date()


def _not_yours(proof: Proven, who: str) -> str:
    if not who.strip():
        return Message("It holds for {who} alone: enter your name, and prove it.", who=proof.who)
    return Message(
        "It holds for {who} alone: whoever works on the pump must prove it, and you are {you}.",
        who=proof.who,
        you=who,
    )


def _never(record: Record, then: datetime) -> str:
    if any(p.at > then for p in record.proofs):
        return Message(
            "The list is dated in the future: a clock is wrong. Set it, and tick the list again."
        )
    if record.missing:
        return joined(" ", record.missing)
    return Message("The list has not been ticked on this visit.")
