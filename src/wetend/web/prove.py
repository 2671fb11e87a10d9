"""Stage six: the rebuilt pump proved."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.errors import BadInput
from wetend.pump.measurements import ProofReadings
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.forms import Asked, Form, Section
from wetend.web.pages import go
from wetend.web.stage import Again, VisitHead, form_for, head_of, stage_page
from wetend.web.typed import read_noun
from wetend.workflows import prove as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
PROOF = Asked(
    ProofReadings,
    key="proof",
    submit="Save and judge",
    sections=(
        Section("Solvent on the seated ball", ("solvent_lost", "solvent_head", "solvent_time")),
        Section("Stall hold",
                ("stall_pressure", "stall_time", "stall_creep_up", "stall_creep_down")),
        Section("Pressure hold", ("hold_start", "hold_end", "hold_time")),
        Section("Bucket", ("bucket_volume", "bucket_cycles")),
        Section("Strokes and wet cup", ("up_time", "down_time", "wet_cup")),
        Section("Uncertainties and a note",
                ("gauge_spread", "bucket_spread", "instruments", "note"), folded=True),
    ),
)  # fmt: skip


@dataclass(frozen=True)
class ProvePage:
    """The proof page: the readings, and each test with its limit and verdict."""

    head: VisitHead
    stage: workflow.ProveView
    proof: Form


def _page(request: Request, desk: Desk, visit_id: str, again: Again | None = None) -> Response:
    view = workflow.view(desk, visit_id)
    form = form_for(PROOF, f"/visits/{visit_id}/prove", view.visit.proof, again, system=desk.system)
    page = ProvePage(head_of(view.visit, "prove"), view, form)
    return stage_page(request, view.visit, "prove", page, again=again)


@router.get("/visits/{visit_id}/prove")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The proof as it stands."""
    return _page(request, desk, visit_id)


@router.post("/visits/{visit_id}/prove/to-checks")
def to_checks(desk: AtDesk, visit_id: VisitId) -> Response:
    """Take the proof readings back into the running checks, to find the fault with them."""
    workflow.carry_to_checks(desk, visit_id)
    return go(f"/visits/{visit_id}/checks", saved="1", anchor="answer")


@router.post("/visits/{visit_id}/prove")
def save(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Keep the proof readings."""
    try:
        readings = read_noun(ProofReadings, typed.own, typed.system)
        workflow.save(desk, visit_id, readings)
    except BadInput as bad:
        return _page(request, desk, visit_id, Again("proof", typed, bad))
    return go(f"/visits/{visit_id}/prove", saved="1", anchor="answer")
