"""The record of a visit or a pump: every entry, who made it, withdrawn and restored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.records.entries import Entry
from wetend.units.message import Message
from wetend.web.access import AtDesk, PumpKey, Sent, VisitId
from wetend.web.life import BOXES
from wetend.web.pages import go, own_path, render
from wetend.workflows import record as workflow

router = APIRouter()


@dataclass(frozen=True)
class RecordPage:
    """Every entry, and where a person goes back to."""

    stage: workflow.RecordView
    base: str
    back: str
    back_word: str
    lines: tuple[workflow.Line, ...] = ()
    """Those of this page of it."""
    page: int = 1
    pages: int = 1
    boxes: Mapping[str, str] = field(default_factory=lambda: BOXES)
    """Where an entry of a pump is corrected, by its kind."""


_A_PAGE = 40


def _paged(request: Request, page: RecordPage) -> RecordPage:
    """The page with the lines that its address asks for; a number that is none asks for the first.

    An entry named by ``at``, its last letters, is on the page shown.
    """
    lines = page.stage.lines
    pages = max(-(-len(lines) // _A_PAGE), 1)
    wanted, at = request.query_params.get("page", ""), request.query_params.get("at", "")
    place = next((i for i, x in enumerate(lines) if at and x.entry.id.endswith(at)), None)
    number = int(wanted) if wanted.isascii() and wanted.isdigit() and len(wanted) < 7 else 1
    if place is not None:
        number = place // _A_PAGE + 1
    number = min(max(number, 1), pages)
    shown = lines[(number - 1) * _A_PAGE : number * _A_PAGE]
    return replace(page, lines=shown, page=number, pages=pages)


@router.get("/visits/{visit_id}/record")
def of_visit(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """All that was entered in a visit."""
    view = workflow.of_visit(desk, visit_id)
    page = RecordPage(
        view, f"/visits/{visit_id}/record", f"/visits/{visit_id}/handover", Message("The visit")
    )
    return render(
        request,
        "record.html",
        _paged(request, page),
        title=Message("Record: {name}", name=view.pump.name),
    )


@router.get("/pumps/{key}/record")
def of_pump(request: Request, desk: AtDesk, key: PumpKey) -> Response:
    """What was entered for a pump outside its visits."""
    view = workflow.of_pump(desk, key)
    page = RecordPage(view, f"/pumps/{key}/record", f"/pumps/{key}", Message("The pump"))
    return render(
        request,
        "record.html",
        _paged(request, page),
        title=Message("Record: {name}", name=view.pump.name),
    )


def _change(desk: AtDesk, typed: Sent, view: workflow.RecordView) -> Entry:
    """Withdraw or restore an entry."""
    entry = workflow.find(view, typed.last("entry"))
    if typed.last("do") == "put back":
        workflow.put_back(desk, entry.id)
    else:
        workflow.withdraw(desk, entry.id, typed.last("reason"))
    return entry


def _back(base: str, entry: Entry, typed: Sent) -> Response:
    """To the page of a record that shows an entry; to where it was made, if undone there."""
    if typed.last("back"):
        return go(own_path(typed.last("back")), saved="undone")
    at = entry.id[-8:]
    return go(f"{base}/record?at={at}", saved="1", anchor=f"e-{at}")


@router.post("/visits/{visit_id}/record")
def change_visit(desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Withdraw or restore an entry of a visit.

    A visit whose start is withdrawn is no longer shown; its pump's record puts it back.
    """
    view = workflow.of_visit(desk, visit_id)
    entry = _change(desk, typed, view)
    base = f"/pumps/{view.pump.key}" if entry.kind == "visit-started" else f"/visits/{visit_id}"
    return _back(base, entry, typed)


@router.post("/pumps/{key}/record")
def change_pump(desk: AtDesk, key: PumpKey, typed: Sent) -> Response:
    """Withdraw or restore an entry of a pump."""
    return _back(f"/pumps/{key}", _change(desk, typed, workflow.of_pump(desk, key)), typed)
