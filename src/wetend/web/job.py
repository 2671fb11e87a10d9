"""Site details, and the pot-life clock."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.errors import BadInput
from wetend.pump.site import SiteFacts
from wetend.units.kinds import TIME
from wetend.units.message import Message
from wetend.units.parse import read_quantity
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.form_data import Typed, read_noun
from wetend.web.forms import Form, FormSpec
from wetend.web.pages import go, render
from wetend.web.stage import RejectedForm, VisitHead, form_for, head_of
from wetend.web.stage_nav import STAGE_WORDS, rail_of
from wetend.workflows import job as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
SITE = FormSpec(SiteFacts, key="site", submit=Message("Save site details"))


@dataclass(frozen=True)
class SitePage:
    """What the site asks for, and whom to ring."""

    head: VisitHead
    site: Form


def _page(
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None
) -> Response:
    visit = desk.visit(visit_id)
    form = form_for(SITE, f"/visits/{visit_id}/site", visit.site, again, system=desk.system)
    page = SitePage(head_of(visit, "complaint"), form)
    status = again.bad.status if again and again.bad else 200
    rail = rail_of(visit.id, visit.done, "")
    return render(request, "site.html", page, title=Message("The site"), status=status, rail=rail)


@router.get("/visits/{visit_id}/site")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The site's facts as they stand."""
    return _page(request, desk, visit_id)


@router.post("/visits/{visit_id}/site")
def save(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the site's facts."""
    try:
        workflow.save_site(desk, visit_id, read_noun(SiteFacts, typed.own, typed.system))
    except BadInput as bad:
        return _page(request, desk, visit_id, RejectedForm("site", typed, bad))
    return go(f"/visits/{visit_id}/site", saved="1")


def _back(visit_id: str, typed: Typed) -> Response:
    stage = typed.last("stage")
    return go(f"/visits/{visit_id}/{stage if stage in STAGE_WORDS else 'checks'}", saved="1")


@router.post("/visits/{visit_id}/mixed")
def mixed(desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Start the pot-life clock, now or some minutes ago.

    Raises:
        BadInput: the minutes can't be read, or the coating has no pot life.
    """
    said = typed.last("ago").strip()
    workflow.mixed(desk, visit_id, ago=read_quantity(said, TIME, bare="min") if said else 0.0)
    return _back(visit_id, typed)


@router.post("/visits/{visit_id}/flushed")
def flushed(desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Stop the pot-life clock: pump, hose and gun are flushed."""
    workflow.flushed(desk, visit_id)
    return _back(visit_id, typed)
