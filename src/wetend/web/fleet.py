"""The fleet's month as table, calendar and sites; months to come under several policies."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.drawings import policies as drawn
from wetend.errors import BadInput
from wetend.web.access import AtDesk
from wetend.web.forms import Form
from wetend.web.life import asked_of, costs_form, costs_of
from wetend.web.pages import drawing, render
from wetend.web.typed import Texts
from wetend.workflows import executors
from wetend.workflows import fleet as workflow
from wetend.workflows.exporting import csv_text
from wetend.workflows.life_facts import facts

router = APIRouter()
MOST_HERE = 300
"""Pumps up to which months are played while the page waits; more are for the command line."""
REPEATS = 40


@dataclass(frozen=True)
class FleetPage:
    """The fleet's month."""

    stage: workflow.FleetView
    costs: Form
    query: str
    """The address's own query without the page number."""


@dataclass(frozen=True)
class MonthsPage:
    """Months to come."""

    stage: workflow.Months | None
    picture: Markup | None
    costs: Form
    months: str
    service: str
    too_many: int
    """Pumps, where there are too many to play while the page waits."""
    fault: str


def _whole(texts: Texts, name: str, usual: int, low: int, high: int) -> int:
    typed = texts.get(name, ("",))[-1].strip()
    if not typed:
        return usual
    if not typed.isdecimal() or len(typed) > 9 or not low <= int(typed) <= high:
        raise BadInput(f"“{typed[:30]}” is no whole number from {low} to {high}.")
    return int(typed)


def _query(texts: Texts) -> str:
    kept = [(n, v) for n, values in texts.items() if n != "page" for v in values]
    return urlencode(kept)


@router.get("/fleet")
def show(request: Request, desk: AtDesk) -> Response:
    """Pumps that want something, the most pressing first.

    Raises:
        BadInput: the address asks for days or a page that can't be.
    """
    texts = asked_of(request)
    costs, bad = costs_of(texts, desk)
    days = _whole(texts, "days", 30, 1, 365)
    view = workflow.view(desk, costs=costs, days=days, page=_whole(texts, "page", 1, 1, 10**6))
    page = FleetPage(view, costs_form("/fleet", texts, costs, bad, desk), _query(texts))
    return render(request, "fleet.html", page, title="The fleet's month",
                  status=422 if bad else 200)  # fmt: skip


@router.get("/fleet.csv")
def table(request: Request, desk: AtDesk) -> Response:
    """The whole month as CSV."""
    texts = asked_of(request)
    costs, _ = costs_of(texts, desk)
    head = ["pump", "name", "site", "chance", "best day", "replace", "crew hours", "word"]
    rows = (
        [d.key, d.name, d.site, round(d.chance, 4), d.due.isoformat() if d.due else "",
         "; ".join(d.parts), round(d.hours / 3600, 2), d.word]
        for d in workflow.due(desk, costs, days=_whole(texts, "days", 30, 1, 365))
    )  # fmt: skip
    text = csv_text(head, rows)
    headers = {"Content-Disposition": 'attachment; filename="fleet-month.csv"'}
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)


@router.get("/fleet/months")
def months(request: Request, desk: AtDesk) -> Response:
    """Months to come under several policies, played while the page waits."""
    texts = asked_of(request)
    costs, bad = costs_of(texts, desk)
    pumps = len(facts(desk).pumps)
    fault, told, count, service = "", None, 12, 3000
    try:
        count = _whole(texts, "months", 12, 1, 60)
        service = _whole(texts, "service", 3000, 10, 10**6)
    except BadInput as wrong:
        fault = str(wrong)
    if 0 < pumps <= MOST_HERE:
        with executors.opened("threads:2") as workers:
            told = workflow.simulate(desk, workers, costs=costs, months=count,
                                     replicas=REPEATS, service=service / 1000.0)  # fmt: skip
    picture = drawing(drawn.costs(told.outcomes)) if told else None
    page = MonthsPage(
        told, picture, costs_form("/fleet/months", texts, costs, bad, desk), str(count),
        str(service), pumps if pumps > MOST_HERE else 0, fault,
    )  # fmt: skip
    return render(request, "months.html", page, title="Months to come",
                  status=422 if fault or bad else 200)  # fmt: skip
