"""Saves which parts were fitted, from the inspection and rebuild pages."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.errors import BadInput
from wetend.web import inspect, rebuild
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.fitted_form import BACK_FIELD, KEY, read_answers, read_on, read_was
from wetend.web.pages import go
from wetend.web.stage import RejectedForm
from wetend.workflows import fitted as workflow

router = APIRouter()


@router.post("/visits/{visit_id}/fitted")
def save(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save what was done with the parts; only what the form changed is written."""
    at_rebuild = typed.last(BACK_FIELD) == "rebuild"
    try:
        answers = workflow.changed(read_was(typed), read_answers(typed))
        workflow.save(desk, visit_id, answers, on=read_on(typed))
    except BadInput as bad:
        again = RejectedForm(KEY, typed, bad)
        if at_rebuild:
            return rebuild.page(request, desk, visit_id, again)
        return inspect.page(request, desk, visit_id, "", again)
    back = "rebuild" if at_rebuild else "inspect"
    return go(f"/visits/{visit_id}/{back}", saved="1", anchor=KEY)
