"""Stage seven: settings for the coating, the signature, the report."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.handover.sign_off import Standing
from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import caution
from wetend.errors import BadInput
from wetend.pump.readings import SetUpRequest, SignOff
from wetend.units.message import Message
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.form_data import read_noun
from wetend.web.forms import Form, FormSpec, Section
from wetend.web.pages import go
from wetend.web.stage import RejectedForm, VisitHead, form_for, head_of, stage_page
from wetend.workflows import handover as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
SET_UP = FormSpec(
    SetUpRequest,
    key="set-up",
    submit=Message("Calculate the settings"),
    hints={
        "pumped_since_repack": Message("No fitting of packings is recorded; enter it if you know")
    },
)
_AGE = frozenset({"pumped_since_repack"})
_BY_PROGRAM = frozenset(("proof", "proof_why", "entries_seen"))
_ALL_THE_SAME = ("reason", "crew_told", "tagged")
SIGN_OFF = FormSpec(
    SignOff, key="sign-off", submit=Message("Sign off"), leave_out=_BY_PROGRAM,
    long=frozenset({"come_back"}),
)  # fmt: skip


def sign_off_asked(now: Standing) -> FormSpec:
    """The sign-off as asked for: why, the crew and the tag too where the pump did not pass."""
    if not now.needs_reason:
        return replace(SIGN_OFF, leave_out=_BY_PROGRAM | frozenset(_ALL_THE_SAME))
    how = Message("It may be signed off anyway; this then appears at the top of the report.")
    return replace(SIGN_OFF, sections=(Section(f"The pump: {now.word}", _ALL_THE_SAME, how=how),))


@dataclass(frozen=True)
class HandoverPage:
    """The hand-over page: what is asked for, the set-up sheet, the signature."""

    head: VisitHead
    stage: workflow.HandoverView
    set_up: Form
    sign_off: Form
    waste: Caution = field(default_factory=lambda: caution("rags"))


def _anew(before: SignOff | None) -> SignOff | None:
    """What was signed before, less what each signature must say for itself."""
    if before is None:
        return None
    return before.model_copy(update={"reason": "", "crew_told": False, "tagged": False})


def _page(
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None
) -> Response:
    view = workflow.view(desk, visit_id)
    visit, path = view.visit, f"/visits/{visit_id}/handover"
    asked = replace(SET_UP, leave_out=_AGE) if view.repack_known else SET_UP
    page = HandoverPage(
        head_of(visit, "handover"),
        view,
        form_for(asked, path, visit.set_up, again, system=desk.system),
        form_for(
            sign_off_asked(view.signed.now),
            f"{path}/sign-off",
            _anew(visit.sign_off),
            again,
            system=desk.system,
            proposed=workflow.proposed(desk, view),
        ),
    )
    return stage_page(request, visit, "handover", page, again=again)


@router.get("/visits/{visit_id}/handover")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The hand-over as it stands."""
    return _page(request, desk, visit_id)


@router.post("/visits/{visit_id}/handover")
def save(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save what the settings are computed for."""
    try:
        wanted = read_noun(SetUpRequest, typed.own, typed.system)
        workflow.save_set_up(desk, visit_id, wanted)
    except BadInput as bad:
        return _page(request, desk, visit_id, RejectedForm("set-up", typed, bad))
    return go(f"/visits/{visit_id}/handover", saved="1", anchor="answer")


@router.post("/visits/{visit_id}/handover/sign-off")
def sign_off(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Sign the visit off."""
    try:
        signed = read_noun(SignOff, typed.own, typed.system)
        workflow.sign_off(desk, visit_id, signed)
    except BadInput as bad:
        return _page(request, desk, visit_id, RejectedForm("sign-off", typed, bad))
    return go(f"/visits/{visit_id}/handover", saved="1", anchor="signed")
