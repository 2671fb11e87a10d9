"""Today: open visits with what is next, how long they have stood, and pumps that want something.

A pump wants something when it was handed over failed or not proven, when the fleet plan finds it
due or likely to stop, and when a part to be replaced then is out of stock. A visit started to it
ends all of that here: it stands among the open visits from then on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime

from wetend.advice.fleet.month import DueLine
from wetend.advice.reasons import Verdict
from wetend.advice.stores.shelf import Shelf
from wetend.errors import WetendError
from wetend.keeping import MB, Keep
from wetend.pump.costs import Costs
from wetend.pump.description import Pump
from wetend.pump.usage import FITTED_WORDS, PART_WORDS
from wetend.records.fold import Visit, VisitSummary
from wetend.units.message import Message
from wetend.units.quantity import S
from wetend.units.show import chance_text, day_text, first_of
from wetend.workflows import fleet, pumps, visits
from wetend.workflows.acts.queue import next_act
from wetend.workflows.catalogue import shelf_of
from wetend.workflows.desk import Desk
from wetend.workflows.pumps import PumpLine

AT_ONCE = 60
"""Pumps up to which the fleet plan is computed while the page waits."""
MOST = 12
"""Open visits, and pumps that want something, shown with all there is to say."""
_RANK = {Verdict.FAIL: 0, Verdict.NOT_PROVEN: 1, Verdict.REPLACE: 2, Verdict.WATCH: 3}
_LIFE_PART = {word: part for part, word in PART_WORDS.items()}
_NEXT = Keep[str](Message("next acts of open visits"), most=1 * MB)
_NAMED = 3
"""Parts named of those to replace."""


@dataclass(frozen=True)
class OpenVisit:
    """A visit not signed off, with its pump's name and what comes next."""

    visit: VisitSummary
    pump: str
    stage: str
    """The first stage not done; blank of a visit that can't be read."""
    act: str
    """The act that comes next; blank while it is being computed, and where none is due."""
    last: datetime
    """When something was entered in it last."""
    stood: S
    """Time since then, s."""


@dataclass(frozen=True)
class Reason:
    """One thing a pump wants: its grade, in a word, and the sentence behind it."""

    verdict: Verdict
    word: str
    text: str


@dataclass(frozen=True)
class Want:
    """A pump that wants something, the gravest reason first."""

    key: str
    name: str
    site: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class TodayView:
    """What is to be done today."""

    open_visits: tuple[OpenVisit, ...]
    more_open: tuple[tuple[VisitSummary, str], ...]
    """Open visits beyond those, with their pumps' names."""
    wants: tuple[Want, ...]
    more_wants: int
    planned: bool
    """Whether the fleet plan is in it; a large fleet's is computed in the background first."""


def _key(desk: Desk, visit: Visit) -> tuple[str, str, str]:
    """All that the next act follows from but what is learned of the pump's lives."""
    return str(desk.depot.url), visit.id, max((e.id for e in visit.entries), default="")


def act_known(desk: Desk, visit: Visit) -> bool:
    """Whether the next act of a visit is computed already."""
    return _NEXT.has(_key(desk, visit))


def compute_act(desk: Desk, visit_id: str) -> None:
    """Compute the next act of a visit, which may take seconds, and hold it."""
    visit = desk.visit(visit_id)

    def make() -> str:
        act = next_act(desk, visit_id)
        return act.title if act is not None else ""

    _NEXT.get(_key(desk, visit), make, owner=str(desk.depot.url))


def _open(desk: Desk, seen: VisitSummary, pump: str) -> OpenVisit:
    try:
        visit = desk.visit(seen.id)
    except WetendError:  # its pump's description can't be read: the visit is listed all the same
        stood = max((datetime.now(UTC) - seen.started).total_seconds(), 0.0)
        return OpenVisit(seen, pump, "", "", seen.started, stood)
    act = _NEXT.peek(_key(desk, visit)) or ""
    stage = next((name for name, done in visit.done.items() if not done), "handover")
    last = max((entry.at for entry in visit.entries), default=seen.started)
    stood = max((datetime.now(UTC) - last).total_seconds(), 0.0)
    return OpenVisit(seen, pump, stage, act, last, stood)


def _proof(line: PumpLine) -> Reason | None:
    """What the hand-over before left open; nothing once another visit has begun."""
    last = line.last
    if last is None or not last.closed or last.proof not in ("fail", "not proven"):
        return None
    failed = last.proof == "fail"
    today = datetime.now(UTC).date()
    on = day_text((last.signed or last.started).astimezone().date(), today)
    text = (
        Message("Handed over on {on}. Promised or given as the reason: {reason}", on=on,
                reason=last.reason)
        if last.reason else Message("Handed over on {on}.", on=on)
    )  # fmt: skip
    return Reason(
        Verdict.FAIL if failed else Verdict.NOT_PROVEN,
        Message("failed its proof") if failed else Message("proof still open"),
        text,
    )


def _when(day: date) -> str:
    today = datetime.now(UTC).date()
    return Message("now") if day <= today else Message("by {day}", day=day_text(day, today))


def _due(line: DueLine, back: str) -> Reason | None:
    if line.verdict is Verdict.KEEP:
        return None
    chance = chance_text(line.chance)
    text = Message("{chance} to stop within 30 days.", chance=chance)
    if line.due is not None and line.parts:
        text = Message(
            "{chance} to stop within 30 days; best visited {when}, to replace {parts}.",
            chance=chance, when=_when(line.due), parts=first_of(line.parts, _NAMED),
        )  # fmt: skip
    if back:
        text = Message("{text} Agreed at the hand-over: {back}", text=text, back=back)
    return Reason(line.verdict, line.word, text)


def _short(pump: Pump, line: DueLine, shelf: Shelf) -> Reason | None:
    """Parts to replace at the next visit that were counted and are used up."""
    gone = []
    for word in line.parts if line.verdict is not Verdict.KEEP else ():
        part = _LIFE_PART[word]
        items = [s for s in shelf.of(pump, part) if s.counted is not None]
        if items and not shelf.there(items, part, [pump.key]).both:
            gone.append(FITTED_WORDS[part])
    if not gone:
        return None
    return Reason(
        Verdict.WATCH, Message("short of a part"),
        Message("Not on the shelf, nor in the van: {parts}.", parts=first_of(gone, _NAMED)),
    )  # fmt: skip


def _plan(desk: Desk, count: int) -> tuple[DueLine, ...] | None:
    if count == 0:
        return ()
    return fleet.due(desk, Costs()) if count <= AT_ONCE else fleet.due_at_hand(desk)


def _wants(lines: Sequence[PumpLine], plan: Sequence[DueLine]) -> list[Want]:
    """Every pump that wants something, without what it is short of."""
    due = {line.key: line for line in plan}
    found = []
    for line in lines:
        if line.open_visit is not None:
            continue
        planned = due.get(line.pump.key)
        back = line.last.come_back if line.last else ""
        reasons = (_proof(line), _due(planned, back) if planned else None)
        said = tuple(sorted(filter(None, reasons), key=lambda r: _RANK[r.verdict]))
        if said:
            found.append(Want(line.pump.key, line.pump.name, line.pump.site, said))
    place = {line.key: n for n, line in enumerate(plan)}
    return sorted(found, key=lambda w: (_RANK[w.reasons[0].verdict], place.get(w.key, 0)))


def _with_parts(
    desk: Desk, wants: Sequence[Want], lines: Sequence[PumpLine], plan: Sequence[DueLine]
) -> tuple[Want, ...]:
    if not wants or not plan:
        return tuple(wants)
    known = {line.pump.key: line.pump for line in lines}
    due, shelf = {line.key: line for line in plan}, shelf_of(desk, known)
    made = []
    for want in wants:
        line = due.get(want.key)
        short = _short(known[want.key], line, shelf) if line else None
        reasons = (*want.reasons, short) if short else want.reasons
        made.append(Want(want.key, want.name, want.site, reasons))
    return tuple(made)


def view(desk: Desk) -> TodayView:
    """Visits to go on with, and pumps that want something, the gravest first."""
    lines = pumps.list_pumps(desk)
    names = {line.pump.key: line.pump.name for line in (*lines, *pumps.list_removed(desk))}
    unfinished = visits.open_visits(desk)
    plan = _plan(desk, len(lines))
    wants = _wants(lines, plan or ())
    return TodayView(
        open_visits=tuple(_open(desk, v, names.get(v.pump, v.pump)) for v in unfinished[:MOST]),
        more_open=tuple((v, names.get(v.pump, v.pump)) for v in unfinished[MOST:]),
        wants=_with_parts(desk, wants[:MOST], lines, plan or ()),
        more_wants=len(wants[MOST:]),
        planned=plan is not None,
    )
