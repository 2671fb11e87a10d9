"""The record of a visit or a pump: every entry, who made it, taken back and put back."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.web.access import AtDesk, PumpKey, Sent, VisitId
from wetend.web.pages import go, render
from wetend.workflows import record as workflow

router = APIRouter()


@dataclass(frozen=True)
class RecordPage:
    """Every entry, and where a person goes back to."""

    stage: workflow.RecordView
    base: str
    back: str
    back_word: str


@router.get("/visits/{visit_id}/record")
def of_visit(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """All that was entered in a visit."""
    view = workflow.of_visit(desk, visit_id)
    page = RecordPage(
        view, f"/visits/{visit_id}/record", f"/visits/{visit_id}/handover", "The visit"
    )
    return render(request, "record.html", page, title=f"Record: {view.pump.name}")


@router.get("/pumps/{key}/record")
def of_pump(request: Request, desk: AtDesk, key: PumpKey) -> Response:
    """What was entered for a pump outside its visits."""
    view = workflow.of_pump(desk, key)
    page = RecordPage(view, f"/pumps/{key}/record", f"/pumps/{key}", "The pump")
    return render(request, "record.html", page, title=f"Record: {view.pump.name}")


def _change(desk: AtDesk, typed: Sent, view: workflow.RecordView) -> str:
    """Take an entry back or put it back; its kind."""
    entry = workflow.find(view, typed.last("entry"))
    if typed.last("do") == "put back":
        workflow.put_back(desk, entry.id)
    else:
        workflow.withdraw(desk, entry.id, typed.last("reason"))
    return entry.kind


@router.post("/visits/{visit_id}/record")
def change_visit(desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Take an entry of a visit back, or put it back.

    A visit whose start is taken back is shown no more; its pump's record puts it back.
    """
    view = workflow.of_visit(desk, visit_id)
    if _change(desk, typed, view) == "visit-started":
        return go(f"/pumps/{view.pump.key}/record", saved="1")
    return go(f"/visits/{visit_id}/record", saved="1")


@router.post("/pumps/{key}/record")
def change_pump(desk: AtDesk, key: PumpKey, typed: Sent) -> Response:
    """Take an entry of a pump back, or put it back."""
    _change(desk, typed, workflow.of_pump(desk, key))
    return go(f"/pumps/{key}/record", saved="1")
