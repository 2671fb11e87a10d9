"""Stage one: the complaint heard, the pump made safe."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import get_args

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.reasons import Caution
from wetend.errors import BadInput
from wetend.pump.readings import OLD_SIGHTS, Complaint, MakeSafe, Sight
from wetend.records.fold import Visit
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.forms import Asked, Form, sentence
from wetend.web.pages import go
from wetend.web.stage import Again, VisitHead, form_for, head_of, stage_page
from wetend.web.typed import read_noun
from wetend.workflows import complaint as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
MAKE_SAFE = Asked(MakeSafe, key="make-safe", submit="Save the make-safe list")
COMPLAINT = Asked(
    Complaint,
    key="complaint",
    submit="Save the complaint",
    choices={"seen": {s: sentence(s) for s in get_args(Sight) if s not in OLD_SIGHTS}},
)

CAUTIONS = (
    Caution(
        "Stored pressure: shut the drive supply, lock it off, open the gun into an earthed pail, "
        "open the dump valve, and prove zero at the gauge and at the gun. A blocked nozzle or hose "
        "can hide pressure. The maker's manual and site rules come first."
    ),
    Caution(
        "Injection: a stream too fine to see goes through skin and glove. Never feel for a leak, "
        "never point or wipe a live nozzle; trigger lock on. If it happens, go to hospital at once "
        "and say what was injected, even if the wound looks like nothing."
    ),
)


@dataclass(frozen=True)
class ComplaintPage:
    """The complaint page: its two forms, first suspicions, and whether zero is proven."""

    head: VisitHead
    stage: workflow.ComplaintView
    make_safe: Form
    complaint: Form
    ticked_at: datetime | None
    ticked_by: str
    cautions: tuple[Caution, ...] = CAUTIONS


def _ticked(visit: Visit) -> tuple[datetime | None, str]:
    """When the make-safe list was last kept, and by whom."""
    kept = [e for e in visit.entries if e.kind == "make-safe"]
    return (kept[-1].at, kept[-1].who) if kept else (None, "")


def _page(request: Request, desk: Desk, visit_id: str, again: Again | None = None) -> Response:
    view = workflow.view(desk, visit_id)
    visit, path = view.visit, f"/visits/{visit_id}/complaint"
    ticked_at, ticked_by = _ticked(visit)
    page = ComplaintPage(
        head_of(visit, "complaint"),
        view,
        form_for(MAKE_SAFE, f"{path}/make-safe", visit.make_safe, again, system=desk.system),
        form_for(COMPLAINT, path, visit.complaint, again, system=desk.system),
        ticked_at,
        ticked_by,
    )
    return stage_page(request, visit, "complaint", page, again=again)


@router.get("/visits/{visit_id}/complaint")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The complaint as it stands."""
    return _page(request, desk, visit_id)


@router.post("/visits/{visit_id}/complaint")
def save(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Keep what the crew says."""
    try:
        said = read_noun(Complaint, typed.own, typed.system)
        workflow.save_complaint(desk, visit_id, said)
    except BadInput as bad:
        return _page(request, desk, visit_id, Again("complaint", typed, bad))
    return go(f"/visits/{visit_id}/complaint", saved="1", anchor="answer")


@router.post("/visits/{visit_id}/complaint/make-safe")
def save_make_safe(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Keep the make-safe list as ticked."""
    try:
        ticked = read_noun(MakeSafe, typed.own, typed.system)
        workflow.save_make_safe(desk, visit_id, ticked)
    except BadInput as bad:
        return _page(request, desk, visit_id, Again("make-safe", typed, bad))
    return go(f"/visits/{visit_id}/complaint", saved="1", anchor="safe")
