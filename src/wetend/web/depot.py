"""The home page: open visits, and the pumps of the depot."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from wetend.records.fold import VisitSummary
from wetend.units.message import Message
from wetend.web.access import AtDesk
from wetend.web.pages import render
from wetend.web.person import person_of
from wetend.workflows import pumps, visits
from wetend.workflows.pumps import LeftOut, PumpLine

router = APIRouter()
_A_PAGE = 40
"""Lines of a list on one page."""


@dataclass(frozen=True)
class OpenVisit:
    """A visit not signed off, with its pump's name."""

    visit: VisitSummary
    pump: str


@dataclass(frozen=True)
class DepotPage:
    """The depot at a glance."""

    open_visits: tuple[OpenVisit, ...]
    pumps: tuple[PumpLine, ...]
    named: bool
    """Whether this person has said who they are."""
    words: str
    """What pumps were looked for."""
    left_out: tuple[LeftOut, ...]
    found: int
    sheet: int
    sheets: int
    removed: tuple[PumpLine, ...]
    """Pumps removed from the lists: the first so many."""
    all_removed: int


@router.get("/")
def show(
    request: Request,
    desk: AtDesk,
    q: Annotated[str, Query(max_length=200)] = "",
    sheet: Annotated[int, Query(ge=1, le=100_000)] = 1,
) -> Response:
    """Visits to go on with, and the pumps, so many a page; ``q`` looks for some by their words."""
    lines = pumps.list_pumps(desk)
    found = pumps.find_pumps(lines, q)
    sheets = max(1, math.ceil(len(found) / _A_PAGE))
    sheet = min(sheet, sheets)
    removed = pumps.list_removed(desk)
    names = {line.pump.key: line.pump.name for line in (*lines, *removed)}
    unfinished = tuple(OpenVisit(v, names.get(v.pump, v.pump)) for v in visits.open_visits(desk))
    page = DepotPage(
        unfinished[:_A_PAGE], found[(sheet - 1) * _A_PAGE : sheet * _A_PAGE],
        bool(person_of(request).who), q, pumps.left_out(desk), len(found), sheet, sheets,
        removed[:_A_PAGE], len(removed),
    )  # fmt: skip
    return render(request, "depot.html", page, title=Message("Depot"))
