"""The safety gate before strip and rebuild: whether zero is proven, from a visit's entries."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from wetend.advice.diagnosis.diagnose import doubts_of
from wetend.advice.diagnosis.doubts import NEXT_TO_NOTHING
from wetend.advice.reasons import Caution, Working
from wetend.advice.safety.pressure import (
    Read,
    highest_pressure,
    loaded_hose,
    pressure_read,
    stall_described,
)
from wetend.advice.safety.zero import Event, Record, Zero, record_of, same_person, standing
from wetend.errors import BadInput, NoAnswer, NotSafe
from wetend.keeping import MB, kept
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.make_safe import COARSE, MakeSafe, PumpRan
from wetend.pump.measurements import ProofReadings
from wetend.pump.readings import CheckReadings, RebuildProgress, SignOff, StripProgress
from wetend.pump.site import Flushed
from wetend.records.entries import Entry, Withdrawn, said_by
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.units.noun import Noun, overlaid
from wetend.workflows.desk import Desk

_MARKS = (StripProgress, RebuildProgress)


@dataclass(frozen=True)
class Gate:
    """Whether zero is proven for whoever is at the desk, and what stands beside it on a page."""

    zero: Zero
    begun: MakeSafe
    """The list to go on with: as ticked by this person since pressure was there last, or blank."""
    gauge_in_doubt: bool
    """Whether this visit's readings have shown the gauge dead or wrong."""
    caution: Caution
    """Of the hose left loaded, with this pump's force."""
    working: Working


def save_list(desk: Desk, visit_id: str, ticked: MakeSafe) -> Visit:
    """Save the make-safe list as ticked."""
    return desk.keep_in_visit("make-safe", ticked, visit_id)


def put_to_list(desk: Desk, visit_id: str, said: MakeSafe) -> Visit:
    """Put lines to the list that this person has begun, and keep it; what is not said stays."""
    begun = gate_of(desk, desk.visit(visit_id)).begun
    given = {name: getattr(said, name) for name in said.model_fields_set}
    return save_list(desk, visit_id, begun.model_copy(update=given))


def report_ran(desk: Desk, visit_id: str, ran: PumpRan, *, at: datetime | None = None) -> Visit:
    """Say that the pump ran, or may hold pressure, again; zero no longer holds from then.

    Args:
        desk: who says it.
        visit_id: the visit.
        ran: what brought the pressure back.
        at: when it was noted, where that was on a device without connection; ``None`` is now.
    """
    said = ran.model_copy(update={"late": at is not None})
    return desk.keep_in_visit("pump-ran", said, visit_id, at=at)


def _doubted(visit: Visit, readings: CheckReadings | None) -> bool:
    """Whether readings have shown the gauge dead, as the diagnosis finds it."""
    return readings is not None and _gauge_dead(visit.pump, visit.coating, readings)


@kept("gauges found dead", most=8 * MB)
def _gauge_dead(pump: Pump, coating: Coating | None, readings: CheckReadings) -> bool:
    if coating is not None:
        with suppress(BadInput, NoAnswer):  # not described well enough to flow: judged without it
            return bool(doubts_of(pump, coating, readings))
    spray, stall = readings.spray_pressure, readings.stall_pressure
    strokes = bool(readings.up_times or readings.down_times or readings.cycle_rate)
    dead = (spray is not None and spray <= COARSE) or (
        stall is not None and stall < NEXT_TO_NOTHING * stall_described(pump)
    )
    return strokes and dead


def _together(before: Read | None, noun: Read) -> Read:
    """Readings as they stand once an entry has put its own over those before."""
    if isinstance(noun, CheckReadings):
        return overlaid(before, noun) if isinstance(before, CheckReadings) else noun
    return overlaid(before, noun) if isinstance(before, ProofReadings) else noun


def _event(entry: Entry, noun: Noun, before: dict[type[Noun], Read]) -> Event | None:
    """What an entry means for zero; ``None`` for what the record keeps of steps done."""
    event = Event(entry.id, entry.at, entry.who, "other")
    if isinstance(noun, _MARKS):
        return None
    if isinstance(noun, MakeSafe):
        return replace(event, kind="list", ticked=noun)
    if isinstance(noun, PumpRan):
        why = (
            Message("the pump ran again: {why}", why=noun.why)
            if noun.why
            else Message("the pump ran again")
        )
        return replace(event, kind="pressure", what=why, late=noun.late)
    if isinstance(noun, Flushed):
        return replace(event, kind="pressure", what=Message("the pump was flushed"))
    if isinstance(noun, CheckReadings | ProofReadings):
        read = pressure_read(before.get(type(noun)), noun)
        before[type(noun)] = _together(before.get(type(noun)), noun)
        return replace(event, kind="pressure", what=read) if read else event
    if isinstance(noun, SignOff):
        return replace(event, kind="handed-over")
    if isinstance(noun, Withdrawn):
        return replace(event, kind="taken-back", what=entry.corrects or "")
    return event


def _events(visit: Visit) -> Iterator[tuple[Event, CheckReadings | None]]:
    """What bears on zero in the order of the record, each with the checks read before it."""
    before: dict[type[Noun], Read] = {}
    for entry in visit.entries:
        noun = said_by(entry)
        event = _event(entry, noun, before) if noun is not None else None
        if event is not None:
            readings = before.get(CheckReadings)
            yield event, readings if isinstance(readings, CheckReadings) else None


def record_of_visit(visit: Visit) -> Record:
    """Every proof of zero on a visit, with what ended it.

    A reading withdrawn later ends a proof all the same: the pump may have run.
    """
    events = list(_events(visit))
    by_gauge = [(e, r) for e, r in events if e.ticked is not None and e.ticked.way == "gauge"]
    doubted = {e.id: _doubted(visit, readings) for e, readings in by_gauge}
    return record_of((e for e, _ in events), visit.pump.drive.kind, doubted)


def zero_of(visit: Visit, who: str, at: datetime | None = None) -> Zero:
    """Whether zero is proven on a visit for a person, now or at a moment past."""
    return standing(record_of_visit(visit), who, at)


def _begun(visit: Visit, record: Record, zero: Zero, who: str) -> MakeSafe:
    """The list to go on with: this person's of today, if nothing has happened since."""
    blank = MakeSafe(blockage="suspected") if record.blocked else MakeSafe()
    events = [e for e, _ in _events(visit) if e.kind != "other"]
    last = events[-1] if events else None
    if last is None or last.ticked is None or not same_person(last.who, who):
        return blank
    over = zero.proven is not None and zero.proven.id == last.id and not zero.stands
    today = last.at.astimezone().date() == datetime.now(UTC).astimezone().date()
    return last.ticked if today and not over else blank


def gate_of(desk: Desk, visit: Visit) -> Gate:
    """The gate of a visit as it stands for whoever is at the desk."""
    record, in_doubt = record_of_visit(visit), _doubted(visit, visit.readings)
    zero = standing(record, desk.who)
    seen = [n for n in map(said_by, visit.entries) if isinstance(n, CheckReadings | ProofReadings)]
    stalled = [v for n in seen for v in (n.stall_pressure, getattr(n, "hold_start", None)) if v]
    sprayed = [v for n in seen for v in (getattr(n, "spray_pressure", None),) if v]
    pressure, read = highest_pressure(visit.pump, sprayed, [] if in_doubt else stalled)
    warned, working = loaded_hose(visit.pump, pressure, read=read)
    begun = _begun(visit, record, zero, desk.who)
    return Gate(zero, begun, in_doubt, warned, working)


def ended_by_readings(desk: Desk, visit: Visit) -> str:
    """What to say before readings are kept while zero is proven; ``""`` where it does not stand."""
    zero = zero_of(visit, desk.who)
    return (
        Message("{line} Readings of a pump under pressure end it.", line=zero.line)
        if zero.stands
        else ""
    )


def must_stand(zero: Zero) -> None:
    """Stop whoever goes on without zero proven.

    Raises:
        NotSafe: zero does not stand; the sentence says who proved it last and what ended it.
    """
    if not zero.stands:
        raise NotSafe(Message("{line} First tick the make-safe list.", line=zero.line))
