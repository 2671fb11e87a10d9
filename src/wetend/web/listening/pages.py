"""Stroke times from a recording or a log: uploaded, reviewed, corrected, saved with the checks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import partial

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.diagnosis.acts import cautions_of
from wetend.advice.listening.answer import Corrected, Listening, Way
from wetend.advice.listening.strokes import corrected
from wetend.advice.reasons import Caution
from wetend.drawings import listening as drawn
from wetend.errors import BadInput, NoAnswer, WetendError
from wetend.progress import Progress
from wetend.units.message import Message
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.cancel_on_disconnect import run_until_disconnect
from wetend.web.form_data import Typed
from wetend.web.listening.rows import (
    MOST_STROKES,
    Row,
    moments,
    ragged,
    unpacked,
    with_turn,
)
from wetend.web.listening.trace import TraceField, read_trace_field, trace_field
from wetend.web.pages import drawing, go, render
from wetend.web.person import person_of
from wetend.web.stage import VisitHead, head_of
from wetend.web.stage_nav import rail_of
from wetend.workflows import listening as workflow
from wetend.workflows.desk import Desk

router = APIRouter()


@dataclass(frozen=True)
class StrokesForm:
    """The strokes found, to be corrected and kept."""

    rows: tuple[Row, ...]
    first: str
    spread: float
    has_times: bool
    """Whether the checks hold stroke times already."""
    beside: bool
    fault: str = ""
    missed: str = ""
    """Moments of missed turns as typed, while they can't be added."""
    note: str = ""
    """What looks wrong after a turn was added; it is in all the same."""
    carried: TraceField | None = None
    """The trace the strokes were found in; ``None`` where it did not arrive."""

    @property
    def packed(self) -> str:
        """All strokes as one hidden field."""
        return ",".join(row.packed for row in self.rows)

    @property
    def corrected(self) -> Corrected | None:
        """The strokes over the trace they were found in."""
        if self.carried is None:
            return None
        strokes, way = [row.stroke for row in self.rows], _named(self.first)
        return corrected(self.carried.trace, self.carried.length, strokes,
                         faint=self.carried.faint, first=way)  # fmt: skip


RECORDED = cautions_of(("sprays", "near the rod", "phone", "runs"))
"""What can hurt where a pump is recorded."""


@dataclass(frozen=True)
class ListeningPage:
    """The page: what to send, and what was heard in it."""

    head: VisitHead
    stage: workflow.ListeningView
    trace: Markup | None
    shown_until: float
    keep: StrokesForm | None
    first: str
    columns: workflow.LogColumns
    fault: str
    cautions: tuple[Caution, ...] = RECORDED


def _named(way: str) -> Way | None:
    return "up" if way == "up" else "down" if way == "down" else None


def _rows(heard: Listening) -> tuple[Row, ...]:
    return tuple(
        Row(s.number, s.kind, s.start, s.length, s.used, s.why)
        for s in heard.strokes[:MOST_STROKES]
    )


def _has_times(view: workflow.ListeningView) -> bool:
    readings = view.visit.readings
    return readings is not None and bool(readings.up_times or readings.down_times)


def _page(
    request: Request,
    view: workflow.ListeningView,
    *,
    keep: StrokesForm | None = None,
    first: str = "",
    columns: workflow.LogColumns | None = None,
    fault: WetendError | None = None,
) -> Response:
    visit, heard = view.visit, view.heard
    if heard is not None and keep is None and heard.quality != "not read":
        keep = StrokesForm(_rows(heard), first, heard.spread, _has_times(view), beside=False,
                        carried=trace_field(heard))  # fmt: skip
    shown = view.corrected or heard
    page = ListeningPage(
        head_of(visit, "checks"),
        view,
        drawing(drawn.trace(shown, reader=person_of(request).reader)) if shown else None,
        drawn.shown_until(shown) if shown else 0.0,
        keep,
        first,
        columns or workflow.LogColumns(),
        str(fault) if fault else "",
    )
    wrong = fault.status if fault else 422 if keep and keep.fault else 200
    return render(
        request,
        "listening.html",
        page,
        title=Message("Listen to the strokes"),
        status=wrong,
        rail=rail_of(visit.id, visit.done, "checks"),
    )


@router.get("/visits/{visit_id}/listen")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The form that takes a recording or a log."""
    return _page(request, workflow.view(desk, visit_id))


def _way(typed: Typed) -> Way | None:
    return _named(typed.last("first"))


def _columns(typed: Typed) -> workflow.LogColumns:
    said = typed.last("rate").strip().replace(",", ".")
    try:
        rate = float(said) if said else None
    except ValueError as bad:
        raise BadInput(Message("Enter readings a second as a plain number such as 50.")) from bad
    if rate is not None and not (math.isfinite(rate) and 0 < rate <= 1e6):
        raise BadInput(Message("Readings a second must be above zero and under a million."))
    return workflow.LogColumns(typed.last("time").strip(), typed.last("column").strip(), rate)


@router.post("/visits/{visit_id}/listen")
async def listen(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Listen to what was sent and show it, while its sender waits; nothing is saved yet."""
    return await run_until_disconnect(request, partial(_listened, request, desk, visit_id, typed))


def _listened(
    request: Request, desk: Desk, visit_id: str, typed: Typed, progress: Progress
) -> Response:
    first, data = _way(typed), typed.files.get("record", b"")
    columns = workflow.LogColumns(typed.last("time")[:60], typed.last("column")[:60])
    try:
        columns = _columns(typed)
        if not data:
            raise BadInput(Message("Choose a recording or a log first, then upload it."))
        heard = workflow.analyse(data, first, columns, progress)
    except (BadInput, NoAnswer) as fault:
        view = workflow.view(desk, visit_id)
        return _page(request, view, first=first or "", columns=columns, fault=fault)
    view = workflow.view(desk, visit_id, heard)
    return _page(request, view, first=first or "", columns=columns)


def _spread(typed: Typed) -> float:
    try:
        value = float(typed.last("spread", "0.02"))
    except ValueError:
        return 0.02
    return value if 0.005 <= value <= 2.0 else 0.02


def _keep(desk: Desk, visit_id: str, form: StrokesForm) -> None:
    if form.first not in ("up", "down"):
        raise BadInput(
            Message("Choose which way the first stroke goes: watch the rod and the trace.")
        )
    lead = form.rows[0].kind
    same = [row.length for row in form.rows if row.used and row.kind == lead]
    other = [row.length for row in form.rows if row.used and row.kind != lead]
    up, down = (same, other) if form.first == "up" else (other, same)
    workflow.save(desk, visit_id, up, down, spread=form.spread, beside=form.beside)


def _with_turns(form: StrokesForm, missed: str) -> StrokesForm:
    """The form with every typed turn added.

    Raises:
        BadInput: one is no moment, or in no stroke.
    """
    rows, carried = form.rows, form.carried
    for moment in moments(missed):
        rows = with_turn(rows, moment)
        carried = replace(carried, faint=(*carried.faint, moment)) if carried else None
    note = "" if ragged(form.rows) else ragged(rows)
    return replace(form, rows=rows, carried=carried, note=note)


def _again(request: Request, desk: Desk, visit_id: str, form: StrokesForm) -> Response:
    """The strokes as they stand, over the trace they were found in."""
    view = workflow.view(desk, visit_id, corrected=form.corrected)
    return _page(request, view, keep=replace(form, has_times=_has_times(view)), first=form.first)


@router.post("/visits/{visit_id}/listen/keep")
def keep(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the strokes ticked with the running checks, or add a turn that was missed."""
    try:
        rows = unpacked(typed)
    except BadInput as fault:
        return _page(request, workflow.view(desk, visit_id), fault=fault)
    form = StrokesForm(rows, typed.last("first"), _spread(typed), has_times=False,
                    beside=typed.last("beside") == "yes",
                    carried=read_trace_field(typed.last("trace")))  # fmt: skip
    missed = typed.last("missed").strip()[:200]
    try:
        if missed or typed.last("add"):
            return _again(request, desk, visit_id, _with_turns(form, missed))
        _keep(desk, visit_id, form)
    except BadInput as bad:
        return _again(request, desk, visit_id, replace(form, fault=str(bad), missed=missed))
    return go(f"/visits/{visit_id}/checks", saved="1", anchor="answer")
