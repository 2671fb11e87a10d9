"""The first page: visits not finished, and the pumps of the depot."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.records.fold import VisitSummary
from wetend.web.access import AtDesk
from wetend.web.pages import render
from wetend.web.person import person_of
from wetend.workflows import pumps, visits

router = APIRouter()


@dataclass(frozen=True)
class OpenVisit:
    """A visit not signed off, with its pump's name."""

    visit: VisitSummary
    pump: str


@dataclass(frozen=True)
class DepotPage:
    """The depot at a glance."""

    open_visits: tuple[OpenVisit, ...]
    pumps: tuple[pumps.PumpLine, ...]
    named: bool
    """Whether this person has said who they are."""


@router.get("/")
def show(request: Request, desk: AtDesk) -> Response:
    """Visits to go on with, and every pump."""
    lines = pumps.list_pumps(desk)
    names = {line.pump.key: line.pump.name for line in lines}
    unfinished = tuple(OpenVisit(v, names.get(v.pump, v.pump)) for v in visits.open_visits(desk))
    page = DepotPage(unfinished, lines, bool(person_of(request).who))
    return render(request, "depot.html", page, title="Depot")
