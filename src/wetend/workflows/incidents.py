"""Near misses and injuries: recorded at once, in a visit or outside one, and listed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from wetend.advice.injection import ToSay, to_say
from wetend.errors import BadInput
from wetend.pump.site import Incident
from wetend.records.entries import Entry
from wetend.records.fold import Visit
from wetend.records.threads import standing
from wetend.workflows import visits
from wetend.workflows.desk import Desk
from wetend.workflows.job import phones

NO_PUMP = "no-pump"
"""The pump an incident is kept under where it has to do with none of the depot's."""
_KINDS = ("incident", "withdrawn")


@dataclass(frozen=True)
class Recorded:
    """An incident as it stands in the record."""

    entry: Entry
    happened: datetime
    incident: Incident


@dataclass(frozen=True)
class InjectionView:
    """The injection page: whom to ring, and what to say where a visit knows it."""

    phones: tuple[tuple[str, str], ...]
    """Sites and number: the visit's own, else those of all that are open."""
    visit: Visit | None
    say: ToSay | None


def recorded(entry: Entry, incident: Incident) -> Recorded:
    """An incident with the time it happened: so long before it was written down."""
    return Recorded(entry, entry.at - timedelta(seconds=incident.ago), incident)


def record(desk: Desk, incident: Incident, *, visit_id: str | None = None, pump: str = "") -> Entry:
    """Keep an incident, in a visit or under a pump, or under neither.

    Raises:
        NotFound: there is no such visit or pump.
        BadInput: nothing was said of a near miss.
    """
    if incident.kind == "near miss" and not incident.said:
        raise BadInput("Say in a few words what nearly happened.")
    if visit_id is not None:
        pump = desk.visit(visit_id).pump.key
    elif pump:
        pump = desk.pump(pump).key
    return desk.keep("incident", incident, pump=pump or NO_PUMP, visit=visit_id)


def listed(desk: Desk) -> tuple[Recorded, ...]:
    """All that stand, the latest first."""
    found = [
        recorded(said.entry, said.noun)
        for said in standing(desk.depot.entries(kinds=_KINDS))
        if isinstance(said.noun, Incident)
    ]
    return tuple(sorted(found, key=lambda r: r.happened, reverse=True))


def of_visit(visit: Visit) -> tuple[Recorded, ...]:
    """A visit's, in the order they happened."""
    found = [
        recorded(said.entry, said.noun)
        for said in standing(visit.entries)
        if isinstance(said.noun, Incident)
    ]
    return tuple(sorted(found, key=lambda r: r.happened))


def injection(desk: Desk, visit_id: str = "") -> InjectionView:
    """What the injection page shows, of a visit or of all that are open."""
    visit = desk.visit(visit_id) if visit_id else None
    open_ids = [v.id for v in visits.open_visits(desk) if v.id != visit_id][:20]
    rung = (phones(desk, [visit_id]) if visit_id else ()) or phones(desk, open_ids)
    say = to_say(visit.pump, visit.coating, visit.readings, desk.system) if visit else None
    return InjectionView(rung, visit, say)
