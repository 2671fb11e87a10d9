"""Measures a mark on a visit's photo: two taps on a scale or coin, two on the mark."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from wetend.pump.readings import Photo
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.web.access import AtDesk, VisitId
from wetend.web.pages import render

router = APIRouter()


@dataclass(frozen=True)
class PhotoLengthPage:
    """The visit's photos, and the one to measure on."""

    visit: Visit
    photo: Photo | None
    path: str


@router.get("/visits/{visit_id}/photo-length")
def show(
    request: Request,
    desk: AtDesk,
    visit_id: VisitId,
    photo: Annotated[str, Query(max_length=64)] = "",
) -> Response:
    """The photo asked for, or the last one kept."""
    visit = desk.visit(visit_id)
    shown = [p for p in visit.photos if p.sha256 == photo] or list(visit.photos)
    chosen = shown[-1] if shown else None
    page = PhotoLengthPage(visit, chosen, f"/visits/{visit_id}/photo-length")
    return render(request, "photo_length.html", page, title=Message("Measure on a photo"))
