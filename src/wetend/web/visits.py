"""Start a visit, keep photos and remarks with it, show photos."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.readings import Note, VisitStart
from wetend.records.fold import VisitSummary
from wetend.units.message import Message
from wetend.web.access import AtDesk, PumpKey, Sent, VisitId
from wetend.web.form_data import Typed, read_noun
from wetend.web.forms import Form, FormSpec
from wetend.web.pages import go, render
from wetend.web.stage import RejectedForm, form_for
from wetend.web.stage_nav import STAGE_WORDS
from wetend.workflows import visits as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
START = FormSpec(
    VisitStart,
    key="start",
    submit=Message("Start the visit"),
    leave_out=frozenset({"pump"}),
    hints={"reason": Message("Up to 200 characters; what the crew says comes next, up to 4,000")},
)


@dataclass(frozen=True)
class StartPage:
    """A visit about to start, and those to the same pump that are open."""

    pump: Pump
    start: Form
    open: tuple[VisitSummary, ...]


def _start_page(
    request: Request, desk: Desk, key: str, again: RejectedForm | None = None
) -> Response:
    pump = desk.pump(key)
    begun = VisitStart(pump=pump.key, site=pump.site)
    form = form_for(START, f"/pumps/{pump.key}/visits", begun, again, system=desk.system)
    status = again.bad.status if again and again.bad else 200
    page = StartPage(pump, form, workflow.open_at(desk, key))
    return render(request, "start.html", page, title=Message("New visit"), status=status)


@router.get("/pumps/{key}/visits")
def ask(request: Request, desk: AtDesk, key: PumpKey) -> Response:
    """The form that starts a visit."""
    return _start_page(request, desk, key)


@router.post("/pumps/{key}/visits")
def start(request: Request, desk: AtDesk, key: PumpKey, typed: Sent) -> Response:
    """Start a visit to a pump."""
    try:
        begun = read_noun(VisitStart, typed.own, typed.system, given={"pump": key})
        visit_id = workflow.start(desk, begun)
    except BadInput as bad:
        return _start_page(request, desk, key, RejectedForm("start", typed, bad))
    return go(f"/visits/{visit_id}/complaint")


@router.get("/visits/{visit_id}")
def resume(desk: AtDesk, visit_id: VisitId) -> Response:
    """Send the browser to the first stage not done."""
    done = desk.visit(visit_id).done
    stage = next((name for name in STAGE_WORDS if not done.get(name)), "handover")
    return RedirectResponse(f"/visits/{visit_id}/{stage}", status_code=303)


def _stage(typed: Typed) -> str:
    stage = typed.last("stage")
    return stage if stage in STAGE_WORDS else "complaint"


@router.post("/visits/{visit_id}/photos")
def add_photo(desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save a photo with the visit.

    Raises:
        BadInput: none was chosen, or it is no picture.
    """
    data = typed.files.get("photo", b"")
    if not data:
        raise BadInput(Message("Choose a photo first, then upload it."))
    stage = _stage(typed)
    workflow.add_photo(
        desk, visit_id, data, caption=typed.last("caption"), stage=stage,
        keep_location=typed.last("keep_location") == "yes",
    )  # fmt: skip
    return go(f"/visits/{visit_id}/{stage}", saved="photo", anchor="photos")


@router.post("/visits/{visit_id}/notes")
def add_note(desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save a remark with the visit.

    Raises:
        BadInput: it is blank or too long.
    """
    stage = _stage(typed)
    note = read_noun(Note, {"text": typed.texts.get("text", ())}, desk.system,
                     given={"stage": stage})  # fmt: skip
    workflow.add_note(desk, visit_id, note)
    return go(f"/visits/{visit_id}/{stage}", saved="note", anchor="photos")


@router.get("/photos/{sha256}")
def photo(desk: AtDesk, sha256: str) -> Response:
    """A photo by its hash; it never changes."""
    data, media = desk.depot.photos.get(sha256)
    headers = {
        "Cache-Control": "private, max-age=31536000, immutable",
        "Content-Security-Policy": Message("default-src 'none'; sandbox"),
    }
    return Response(data, media_type=media, headers=headers)
