"""Stage one: the complaint, and making the pump safe."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.errors import BadInput
from wetend.pump.readings import OLD_SIGHTS, Complaint, Sight
from wetend.units.message import Message
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.form_data import read_noun
from wetend.web.forms import Form, FormSpec, sentence
from wetend.web.make_safe import GateView, gate_view, save_list
from wetend.web.pages import go
from wetend.web.stage import RejectedForm, VisitHead, form_for, head_of, stage_page
from wetend.workflows import complaint as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
COMPLAINT = FormSpec(
    Complaint,
    key="complaint",
    submit=Message("Save the complaint"),
    choices={"seen": {s: sentence(Message(s)) for s in get_args(Sight) if s not in OLD_SIGHTS}},
)


@dataclass(frozen=True)
class ComplaintPage:
    """The complaint page: its two forms, first suspicions, and whether zero is proven."""

    head: VisitHead
    stage: workflow.ComplaintView
    gate: GateView
    complaint: Form


def _page(
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None
) -> Response:
    view = workflow.view(desk, visit_id)
    visit, path = view.visit, f"/visits/{visit_id}/complaint"
    page = ComplaintPage(
        head_of(visit, "complaint"),
        view,
        gate_view(view.gate, visit, desk, path, again),
        form_for(COMPLAINT, path, visit.complaint, again, system=desk.system),
    )
    return stage_page(request, visit, "complaint", page, again=again)


@router.get("/visits/{visit_id}/complaint")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The complaint as it stands."""
    return _page(request, desk, visit_id)


@router.post("/visits/{visit_id}/complaint")
def save(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save what the crew says."""
    try:
        said = read_noun(Complaint, typed.own, typed.system)
        workflow.save_complaint(desk, visit_id, said)
    except BadInput as bad:
        return _page(request, desk, visit_id, RejectedForm("complaint", typed, bad))
    return go(f"/visits/{visit_id}/complaint", saved="1", anchor="answer")


@router.post("/visits/{visit_id}/complaint/make-safe")
def save_make_safe(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the make-safe list as ticked."""
    return save_list(
        desk, visit_id, typed, back=f"/visits/{visit_id}/complaint",
        page=lambda again: _page(request, desk, visit_id, again),
    )  # fmt: skip
