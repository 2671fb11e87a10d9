"""Questions a lead asks: where parts wear out most, which rebuilds came back; lives as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.life.questions import BackRow, RateRow
from wetend.drawings.rates import bars, interval_plot
from wetend.units.message import Message
from wetend.web.access import AtDesk
from wetend.web.pages import drawing, render
from wetend.workflows import questions as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
_MOST = 12
"""Rows drawn and listed of each question."""
_GALLON = 3.785411784
"""Litres in a US gallon, by definition."""


@dataclass(frozen=True)
class RateBlock:
    """One question about rates: its picture and its table."""

    title: str
    rows: tuple[RateRow, ...]
    more: int
    picture: Markup | None


@dataclass(frozen=True)
class QuestionsPage:
    """The whole page."""

    stage: workflow.QuestionsView
    rates: tuple[RateBlock, ...]
    factor: float
    """Turns a rate a cubic metre into one a thousand litres or gallons."""
    unit: str
    back: Markup | None
    parts: Markup | None
    months: Markup | None


def _block(desk: Desk, title: str, rows: Sequence[RateRow], factor: float, unit: str) -> RateBlock:
    shown = tuple(rows[:_MOST])
    pumped = sum(row.pumped for row in rows)
    picture = None
    if shown:
        every = factor * sum(row.failures for row in rows) / pumped
        drawn = [(r.name, factor * r.low, factor * r.rate, factor * r.high) for r in shown]
        picture = drawing(
            interval_plot(drawn, title=title, unit=unit, all_together=every, reader=desk.reader)
        )
    return RateBlock(title, shown, len(rows) - len(shown), picture)


def _back(desk: Desk, rows: Sequence[BackRow]) -> Markup | None:
    if not rows:
        return None
    every = 100.0 * sum(r.back for r in rows) / sum(r.rebuilds for r in rows)
    drawn = [(r.who, 100 * r.low, 100 * r.share, 100 * r.high) for r in rows[:_MOST]]
    title = Message("Rebuilds that came back within 30 days")
    return drawing(
        interval_plot(drawn, title=title, unit="%", all_together=every, reader=desk.reader)
    )


@router.get("/questions")
def show(request: Request, desk: AtDesk) -> Response:
    """Rates with intervals by site, coating and pump; what came back; parts and months."""
    seen = workflow.view(desk)
    metric = desk.system == "metric"
    factor = 1.0 if metric else _GALLON
    unit = Message("failures a 1,000 L") if metric else Message("failures a 1,000 gal")
    titles = ((Message("Packings by site"), seen.sites),
              (Message("Packings by class of coating"), seen.coatings),
              (Message("Packings by pump"), seen.pumps))  # fmt: skip
    page = QuestionsPage(
        seen, tuple(_block(desk, title, rows, factor, unit) for title, rows in titles), factor,
        unit, _back(desk, seen.back),
        drawing(bars(seen.parts, title=Message("Failures by part"), reader=desk.reader))
        if seen.parts else None,
        drawing(bars(seen.months[-18:], title=Message("Failures by month"), reader=desk.reader))
        if seen.months else None,
    )  # fmt: skip
    return render(request, "questions.html", page, title=Message("Questions"))


@router.get("/lives.csv")
def lives(desk: AtDesk) -> Response:
    """Every recorded life with its censoring and exposure."""
    headers = {"Content-Disposition": 'attachment; filename="lives.csv"'}
    return Response(workflow.lives_csv(desk), media_type="text/csv; charset=utf-8", headers=headers)
