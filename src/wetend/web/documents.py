"""A visit's documents as PDF downloads."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.responses import Response

from wetend.web.access import AtDesk, PumpKey, VisitId
from wetend.workflows import reports
from wetend.workflows.reports import Paper

router = APIRouter()


def _sent(paper: Paper) -> Response:
    headers = {
        "Content-Disposition": f'inline; filename="{paper.name}"',
        "Cache-Control": "private, no-store",
    }
    return Response(paper.pdf, media_type="application/pdf", headers=headers)


@router.get("/visits/{visit_id}/report.pdf")
def report(desk: AtDesk, visit_id: VisitId) -> Response:
    """The visit's report as it stands."""
    return _sent(reports.write_report(desk, visit_id))


@router.get("/visits/{visit_id}/strip-card.pdf")
def card(desk: AtDesk, visit_id: VisitId) -> Response:
    """The strip card for the tool bag entered."""
    return _sent(reports.write_strip_card(desk, visit_id))


@router.get("/pumps/{key}/wall-sheet.pdf")
def wall_sheet(desk: AtDesk, key: PumpKey) -> Response:
    """The pump taken apart, with its numbers, for the wall."""
    return _sent(reports.write_wall_sheet(desk, key))


@router.get("/pumps/{key}/pocket-card.pdf")
def pocket_card(desk: AtDesk, key: PumpKey) -> Response:
    """The seal stack with its numbers, for the pocket."""
    return _sent(reports.write_pocket_card(desk, key))


@router.get("/visits/{visit_id}/rebuild-card.pdf")
def rebuild_card(desk: AtDesk, visit_id: VisitId) -> Response:
    """The rebuild card."""
    return _sent(reports.write_rebuild_card(desk, visit_id))


@router.get("/visits/{visit_id}/certificate.pdf")
def certificate(desk: AtDesk, visit_id: VisitId) -> Response:
    """The proof certificate, or the record of a proof not passed."""
    return _sent(reports.write_certificate(desk, visit_id))


@router.get("/visits/{visit_id}/set-up.pdf")
def sheet(desk: AtDesk, visit_id: VisitId) -> Response:
    """The set-up sheet."""
    return _sent(reports.write_set_up(desk, visit_id))
