"""Near misses and injuries: recorded at once, in a visit or outside one, and listed."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from datetime import datetime, timedelta

from wetend.advice.safety.injection import HospitalInfo, hospital_info
from wetend.errors import BadInput, NotFound
from wetend.pump.site import Incident
from wetend.records.corrections import standing
from wetend.records.entries import NO_PUMP, Entry, said_by
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.workflows import record as entered
from wetend.workflows import visits
from wetend.workflows.desk import Desk
from wetend.workflows.job import phones

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
    say: HospitalInfo | None


def recorded(entry: Entry, incident: Incident) -> Recorded:
    """An incident with the time it happened: so long before it was written down."""
    return Recorded(entry, entry.at - timedelta(seconds=incident.ago), incident)


def record(desk: Desk, incident: Incident, *, visit_id: str | None = None, pump: str = "") -> Entry:
    """Save an incident, in a visit or under a pump, or under neither.

    Raises:
        NotFound: there is no such visit or pump.
        BadInput: nothing was said of a near miss.
    """
    if incident.kind == "near miss" and not incident.said:
        raise BadInput(Message("Write in a few words what nearly happened."))
    if visit_id is not None:
        pump = desk.visit(visit_id).pump.key
    elif pump:
        pump = desk.pump(pump).key
    return desk.keep("incident", incident, pump=pump or NO_PUMP, visit=visit_id)


def listed(desk: Desk) -> tuple[Recorded, ...]:
    """All that stand, the latest first."""
    return _all(desk)[0]


def taken_back(desk: Desk) -> tuple[Recorded, ...]:
    """All that were withdrawn, the latest first."""
    return _all(desk)[1]


def _all(desk: Desk) -> tuple[tuple[Recorded, ...], tuple[Recorded, ...]]:
    """Those that stand and those withdrawn, each the latest first."""
    entries = desk.depot.entries(kinds=_KINDS)
    stands = {said.entry.id for said in standing(entries)}
    found = [recorded(e, noun) for e in entries if isinstance(noun := said_by(e), Incident)]
    found.sort(key=lambda r: r.happened, reverse=True)
    return (
        tuple(r for r in found if r.entry.id in stands),
        tuple(r for r in found if r.entry.id not in stands),
    )


def find(desk: Desk, letters: str) -> Entry:
    """The incident that a person names by its id or its last letters.

    Raises:
        NotFound: none, or more than one, goes by them.
    """
    wanted = letters.strip().lower()
    both = itertools.chain(*_all(desk))
    hits = [r.entry for r in both if len(wanted) >= 4 and r.entry.id.endswith(wanted)]
    if len(hits) != 1:
        raise NotFound(
            Message(
                "No single near miss or injury matches “{letters}”; `wetend incident` lists them.",
                letters=letters[:40],
            )
        )
    return hits[0]


def withdraw(desk: Desk, letters: str, reason: str = "") -> Entry:
    """Withdraw an incident; it stays in the record. Twice is once.

    Raises:
        NotFound: no single one goes by these letters.
    """
    return entered.withdraw(desk, find(desk, letters).id, reason)


def put_back(desk: Desk, letters: str) -> Entry:
    """Restore a withdrawn incident. Twice is once.

    Raises:
        NotFound: no single one goes by these letters.
    """
    return entered.put_back(desk, find(desk, letters).id)


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
    say = hospital_info(visit.pump, visit.coating, visit.readings) if visit else None
    return InjectionView(rung, visit, say)
