"""The first page: what is to be done today, and the pumps of the depot."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import Response

from wetend.pump.costs import Costs
from wetend.records.store import Depot
from wetend.units.message import Message
from wetend.web.access import AtDesk
from wetend.web.pages import render
from wetend.web.person import person_of
from wetend.web.ready import ahead
from wetend.web.stage_nav import STAGE_WORDS
from wetend.workflows import fleet, pumps, today
from wetend.workflows.desk import Desk
from wetend.workflows.pumps import LeftOut, PumpLine

router = APIRouter()
_A_PAGE = 40
"""Lines of a list on one page."""
_ACTS = 6
"""Open visits whose next act is computed."""


@dataclass(frozen=True)
class DepotPage:
    """Today, and the depot at a glance."""

    stage: today.TodayView
    plan_fault: str
    """Why the fleet plan could not be computed; blank where it could, or is being computed."""
    words_of: dict[str, str]
    """Stages by what they are called."""
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


def _plan_ahead(depot: Depot) -> str:
    """Have a large fleet's plan computed in the background; why it failed, if it did."""
    return ahead(
        ("plan for today", str(depot.url)), lambda: fleet.due(Desk(depot), Costs()),
        title=Message("computing the fleet plan"), sort="plan for today",
    )  # fmt: skip


def _acts_ahead(depot: Depot, view: today.TodayView) -> None:
    """Have the next acts of open visits computed in the background, for the next look."""
    desk = Desk(depot)
    for seen in view.open_visits[:_ACTS]:
        if seen.stage and not today.act_known(desk, desk.visit(seen.visit.id)):
            ahead(
                ("next act", str(depot.url), seen.visit.id),
                lambda visit=seen.visit.id: today.compute_act(desk, visit),  # type: ignore[misc]
                title=Message("computing what comes next on open visits"), sort="next act",
            )  # fmt: skip


@router.get("/")
def show(
    request: Request,
    desk: AtDesk,
    q: Annotated[str, Query(max_length=200)] = "",
    sheet: Annotated[int, Query(ge=1, le=100_000)] = 1,
) -> Response:
    """What is to be done, and the pumps, so many a page; ``q`` looks for some by their words."""
    lines = pumps.list_pumps(desk)
    found = pumps.find_pumps(lines, q)
    sheets = max(1, math.ceil(len(found) / _A_PAGE))
    sheet = min(sheet, sheets)
    removed = pumps.list_removed(desk)
    view = today.view(desk)
    _acts_ahead(desk.depot, view)
    page = DepotPage(
        view, "" if view.planned else _plan_ahead(desk.depot), dict(STAGE_WORDS),
        found[(sheet - 1) * _A_PAGE : sheet * _A_PAGE],
        bool(person_of(request).who), q, pumps.left_out(desk), len(found), sheet, sheets,
        removed[:_A_PAGE], len(removed),
    )  # fmt: skip
    return render(request, "depot.html", page, title=Message("Today"))
