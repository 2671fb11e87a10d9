"""Visits: start, find, add photos and notes."""

from __future__ import annotations

from wetend.advice.safety.site_hazards import refuse_chlorinated
from wetend.errors import NotFound
from wetend.pump.coating import Coating
from wetend.pump.readings import Caption, Note, Photo, VisitStart
from wetend.records.fold import HISTORY_KINDS, Visit, VisitSummary, fold_history
from wetend.records.ids import new_id
from wetend.records.photo_keeping import with_entries
from wetend.records.photo_notes import without_location
from wetend.units.fields import read
from wetend.units.message import Message
from wetend.units.suggestions import near
from wetend.workflows.desk import Desk
from wetend.workflows.job import known_of_site
from wetend.workflows.removal import refuse_removed


def start(desk: Desk, begun: VisitStart) -> str:
    """Start a visit to a pump of the depot and give the visit's id.

    What is known of its site from a visit before, such as whom to ring, is taken over.

    Raises:
        NotFound: no such pump.
        BadInput: it is removed from the lists.
    """
    pump = desk.pump(begun.pump)
    refuse_removed(desk, begun.pump)
    kept = desk.keep("visit-started", begun, pump=begun.pump, visit=new_id())
    assert kept.visit is not None
    facts = known_of_site(desk, begun.site or pump.site)
    if facts is not None and desk.visit(kept.visit).site is None:
        desk.keep("site", facts, pump=begun.pump, visit=kept.visit)
    return kept.visit


def open_visits(desk: Desk) -> tuple[VisitSummary, ...]:
    """Visits not signed off yet, latest first."""
    return tuple(v for v in fold_history(desk.depot.entries(kinds=HISTORY_KINDS)) if not v.closed)


def open_at(desk: Desk, pump: str) -> tuple[VisitSummary, ...]:
    """Visits to one pump not signed off yet, latest first."""
    own = fold_history(desk.depot.entries(pump=pump, kinds=HISTORY_KINDS))
    return tuple(v for v in own if not v.closed)


def find(desk: Desk, start_of_id: str) -> str:
    """A visit's id from its first or last letters, or ``last`` for the latest.

    Raises:
        NotFound: no visit, or more than one, begins or ends so.
    """
    if "=" in start_of_id:
        raise NotFound(
            Message(
                "“{start_of_id}” is in place of the visit: name the visit first, such as `last`.",
                start_of_id=start_of_id[:40],
            )
        )
    ids = [v.id for v in fold_history(desk.depot.entries(kinds=HISTORY_KINDS))]
    if start_of_id == "last" and ids:
        return ids[0]
    if near(start_of_id, ["last"]):
        raise NotFound(
            Message(
                "No visit matches “{start_of_id}”; did you mean last?", start_of_id=start_of_id[:40]
            )
        )
    wanted = start_of_id.strip().lower()
    hits = [i for i in ids if len(wanted) >= 4 and (i.startswith(wanted) or i.endswith(wanted))]
    if len(hits) != 1:
        found = Message("More than one visit") if hits else Message("No visit")
        raise NotFound(
            Message(
                "{found} matches “{start_of_id}”; `wetend visit list` lists the open ones, "
                "`wetend pump show` a pump's.",
                found=found,
                start_of_id=start_of_id[:40],
            )
        )
    return hits[0]


def choose_coating(desk: Desk, visit_id: str, coating: Coating) -> Visit:
    """Say which coating the pump has in it on this visit.

    Raises:
        BadInput: it is flushed with a chlorinated solvent, and the pump has aluminium parts.
    """
    refuse_chlorinated(desk.visit(visit_id).pump, coating.solvent)
    return desk.keep_in_visit("coating", coating, visit_id)


def add_photo(
    desk: Desk,
    visit_id: str,
    data: bytes,
    *,
    caption: str = "",
    stage: str = "",
    keep_location: bool = False,
) -> Photo:
    """Save a photo with the visit, under its hash.

    Where it was taken, and whatever else a phone wrote into it, is taken out unless
    ``keep_location``; which way up it is and when it was taken stay.

    Raises:
        BadInput: not a JPEG, PNG or WebP picture, torn, too large, or its caption too long; nothing
            is kept then.
    """
    visit = desk.visit(visit_id)
    said = read(Caption, {"caption": caption, "stage": stage})
    with desk.depot.photos.staged() as stage_of, with_entries(desk.depot, stage_of):
        shelved = stage_of.put(data if keep_location else without_location(data))
        more = {"caption": said.caption, "stage": said.stage, "location_kept": keep_location}
        photo = shelved.model_copy(update=more)
        desk.keep("photo", photo, pump=visit.pump.key, visit=visit_id, last=stage_of.keep)
    return photo


def add_note(desk: Desk, visit_id: str, note: Note) -> Visit:
    """Save a remark with the visit."""
    return desk.keep_in_visit("note", note, visit_id)
