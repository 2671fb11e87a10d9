"""Fleet pages: the plan for the next days, and a simulation of maintenance policies."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import parse_qsl, urlencode

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from wetend.drawings import policies as drawn
from wetend.drawings.month_strip import month_strip
from wetend.errors import BadInput
from wetend.progress import Progress
from wetend.pump.costs import Costs
from wetend.units.message import Message, joined
from wetend.web.access import AtDesk, Sent
from wetend.web.form_data import Texts, query_texts
from wetend.web.forms import Form
from wetend.web.life import costs_form, costs_of
from wetend.web.pages import drawing, render
from wetend.workflows import executors
from wetend.workflows import fleet as workflow
from wetend.workflows.desk import Desk
from wetend.workflows.exporting import csv_text
from wetend.workflows.life_facts import facts
from wetend.workflows.months_in_background import FLEET_MONTHS, MonthsRun, key_of

router = APIRouter()
MOST_HERE = 300
"""Pumps up to which months are simulated while the page waits; more run in the background."""
REPEATS = 40


@dataclass(frozen=True)
class FleetPage:
    """The fleet plan page."""

    stage: workflow.FleetView
    costs: Form
    query: str
    """The address's own query without the page number."""
    strip: Markup
    """The planned visits on a calendar."""


@dataclass(frozen=True)
class MonthsPage:
    """The page that compares policies."""

    stage: workflow.Months | None
    picture: Markup | None
    costs: Form
    months: str
    service: str
    large: int
    """Pumps, where there are too many to play while the page waits."""
    played: MonthsRun | None
    """Of a large fleet: how far it is."""
    fault: str
    query: str
    """The address's own query."""


def _whole(texts: Texts, name: str, usual: int, low: int, high: int) -> int:
    typed = texts.get(name, ("",))[-1].strip()
    if not typed:
        return usual
    if not typed.isdecimal() or len(typed) > 9 or not low <= int(typed) <= high:
        raise BadInput(
            Message(
                "“{typed}” is not a whole number from {low} to {high}.",
                typed=typed[:30],
                low=low,
                high=high,
            )
        )
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
    texts = query_texts(request)
    costs, bad = costs_of(texts, desk)
    days = _whole(texts, "days", 30, 1, 365)
    view = workflow.view(desk, costs=costs, days=days, page=_whole(texts, "page", 1, 1, 10**6))
    planned = {day: len(own) for day, own in view.calendar}
    strip = month_strip(planned, view.today, view.days, reader=desk.reader)
    form = costs_form("/fleet", texts, costs, bad, desk)
    page = FleetPage(view, form, _query(texts), drawing(strip))
    return render(request, "fleet.html", page, title=Message("Fleet plan"),
                  status=422 if bad else 200)  # fmt: skip


@router.get("/fleet.csv")
def table(request: Request, desk: AtDesk) -> Response:
    """The whole plan as CSV."""
    texts = query_texts(request)
    costs, _ = costs_of(texts, desk)
    head = [
        "pump",
        "name",
        "site",
        "chance",
        "best day",
        "replace",
        "crew hours",
        "word",
    ]
    rows = (
        [d.key, d.name, d.site, round(d.chance, 4), d.due.isoformat() if d.due else "",
         joined("; ", d.parts), round(d.crew_time / 3600, 2), d.word]
        for d in workflow.due(desk, costs, days=_whole(texts, "days", 30, 1, 365))
    )  # fmt: skip
    text = csv_text(head, rows)
    headers = {"Content-Disposition": 'attachment; filename="fleet-month.csv"'}
    return Response(text, media_type="text/csv; charset=utf-8", headers=headers)


def _asked(texts: Texts) -> tuple[int, int, str]:
    """Months, litres between services, and what is wrong with what was typed."""
    try:
        return (_whole(texts, "months", 12, 1, 60), _whole(texts, "service", 0, 10, 10**6), "")
    except BadInput as wrong:
        return 12, 3000, str(wrong)


def _behind(desk: Desk, costs: Costs, count: int, service: int, *, start: bool) -> MonthsRun | None:
    """A large fleet, simulated in the background."""
    known = facts(desk)
    key = key_of(str(desk.depot.url), known.state, known.today, costs, count, service)

    def play(tells: Progress) -> workflow.Months:
        with executors.opened("processes:1") as workers:
            return workflow.simulate(desk, workers, costs=costs, months=count, replicas=REPEATS,
                                     service=service / 1000.0 or None, progress=tells)  # fmt: skip

    if start:
        return FLEET_MONTHS.start(key, play, owner=str(desk.depot.url))
    return FLEET_MONTHS.find(key)


@router.get("/fleet/months")
def months(request: Request, desk: AtDesk) -> Response:
    """Compare policies: a small fleet at once, a large one in the background."""
    texts = query_texts(request)
    costs, bad = costs_of(texts, desk)
    pumps = len(facts(desk).in_use)
    count, service, fault = _asked(texts)
    compared, played = None, None
    if 0 < pumps <= MOST_HERE:
        compared = workflow.simulated(
            desk,
            costs=costs,
            months=count,
            replicas=REPEATS,
            service=service / 1000.0 or None,
        )
    elif pumps:
        wanted = "months" in texts and not (fault or bad or "stopped" in texts)
        played = _behind(desk, costs, count, service, start=wanted)
        compared = played.months if played else None
    picture = drawing(drawn.costs(compared.outcomes, reader=desk.reader)) if compared else None
    page = MonthsPage(
        compared, picture, costs_form("/fleet/months", texts, costs, bad, desk), str(count),
        str(service or ""), pumps if pumps > MOST_HERE else 0, played, fault,
        urlencode([(n, v) for n, values in texts.items() if n != "stopped" for v in values]),
    )  # fmt: skip
    return render(request, "months.html", page, title=Message("Compare policies"),
                  status=422 if fault or bad else 200)  # fmt: skip


@router.post("/fleet/months/stop")
def stop(typed: Sent) -> Response:
    """Stop the simulation and show the page again."""
    FLEET_MONTHS.stop(typed.last("played"))
    back = parse_qsl(typed.last("query"))
    return RedirectResponse(f"/fleet/months?{urlencode([*back, ('stopped', '1')])}", 303)
