"""Stroke times from a recording or a log: sent, looked at, corrected, kept with the checks."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from statistics import median

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.listening_answer import Listening, Way
from wetend.drawings import listening as drawn
from wetend.errors import BadInput, NoAnswer, WetendError
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.pages import drawing, go, render
from wetend.web.rail import rail_of
from wetend.web.stage import VisitHead, head_of
from wetend.web.typed import Typed
from wetend.workflows import listening as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
_MOST_STROKES = 400
_LEAST_STROKE = 0.05
"""Seconds; a turn nearer to another is no turn."""
_STROKE = re.compile(r"([01]):(\d{1,6}(?:\.\d{1,4})?):(\d{1,4}\.\d{1,4}):([01])\Z")


@dataclass(frozen=True)
class Row:
    """One stroke on offer: its number, when it began, how long it took, and whether it counts."""

    number: int
    kind: int
    start: float
    length: float
    used: bool
    why: str = ""

    @property
    def packed(self) -> str:
        """The stroke as a form carries it."""
        return f"{self.kind}:{max(self.start, 0.0):.3f}:{self.length:.3f}:{int(self.used)}"


@dataclass(frozen=True)
class KeepForm:
    """The strokes found, to be corrected and kept."""

    rows: tuple[Row, ...]
    first: str
    spread: float
    has_times: bool
    """Whether the checks hold stroke times already."""
    beside: bool
    fault: str = ""
    missed: str = ""
    """Moments of missed turns as typed, while they can't be put in."""
    note: str = ""
    """What looks wrong after a turn was put in; it is in all the same."""

    @property
    def packed(self) -> str:
        """All strokes as one hidden field."""
        return ",".join(row.packed for row in self.rows)


@dataclass(frozen=True)
class ListeningPage:
    """The page: what to send, and what was heard in it."""

    head: VisitHead
    stage: workflow.ListeningView
    trace: Markup | None
    shown_until: float
    keep: KeepForm | None
    first: str
    columns: workflow.LogColumns
    fault: str


def _rows(heard: Listening) -> tuple[Row, ...]:
    return tuple(
        Row(s.number, s.kind, s.start, s.length, s.used, s.why)
        for s in heard.strokes[:_MOST_STROKES]
    )


def _has_times(view: workflow.ListeningView) -> bool:
    readings = view.visit.readings
    return readings is not None and bool(readings.up_times or readings.down_times)


def _page(
    request: Request,
    view: workflow.ListeningView,
    *,
    keep: KeepForm | None = None,
    first: str = "",
    columns: workflow.LogColumns | None = None,
    fault: WetendError | None = None,
) -> Response:
    visit, heard = view.visit, view.heard
    if heard is not None and keep is None and heard.quality != "not read":
        keep = KeepForm(_rows(heard), first, heard.spread, _has_times(view), beside=False)
    page = ListeningPage(
        head_of(visit, "checks"),
        view,
        drawing(drawn.trace(heard)) if heard else None,
        drawn.shown_until(heard) if heard else 0.0,
        keep,
        first,
        columns or workflow.LogColumns(),
        str(fault) if fault else "",
    )
    wrong = fault.status if fault else 422 if keep and keep.fault else 200
    return render(request, "listening.html", page, title="Listen to the strokes", status=wrong,
                  rail=rail_of(visit.id, visit.done, "checks"))  # fmt: skip


@router.get("/visits/{visit_id}/listen")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The form that takes a recording or a log."""
    return _page(request, workflow.view(desk, visit_id))


def _way(typed: Typed) -> Way | None:
    said = typed.last("first")
    return "up" if said == "up" else "down" if said == "down" else None


def _columns(typed: Typed) -> workflow.LogColumns:
    said = typed.last("rate").strip().replace(",", ".")
    try:
        rate = float(said) if said else None
    except ValueError as bad:
        raise BadInput("Readings a second is a plain number such as 50.") from bad
    if rate is not None and not (math.isfinite(rate) and 0 < rate <= 1e6):
        raise BadInput("Readings a second lies above nought and under a million.")
    return workflow.LogColumns(typed.last("time").strip(), typed.last("column").strip(), rate)


@router.post("/visits/{visit_id}/listen")
def listen(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Listen to what was sent and show it; nothing is kept yet."""
    first, data = _way(typed), typed.files.get("record", b"")
    columns = workflow.LogColumns(typed.last("time")[:60], typed.last("column")[:60])
    try:
        columns = _columns(typed)
        if not data:
            raise BadInput("Choose a recording or a log first, then send it.")
        heard = workflow.analyse(data, first, columns)
    except (BadInput, NoAnswer) as fault:
        view = workflow.view(desk, visit_id)
        return _page(request, view, first=first or "", columns=columns, fault=fault)
    view = workflow.view(desk, visit_id, heard)
    return _page(request, view, first=first or "", columns=columns)


def _unpacked(typed: Typed) -> tuple[Row, ...]:
    """The strokes a form carried, ticked as the person left them.

    Raises:
        BadInput: the form does not carry strokes as this page writes them.
    """
    ticked = set(typed.all("use"))
    rows = []
    for number, text in enumerate(typed.last("strokes").split(",")[: _MOST_STROKES + 1], 1):
        match = _STROKE.match(text)
        if match is None or number > _MOST_STROKES:
            raise BadInput("The strokes did not arrive whole; send the recording again.")
        rows.append(
            Row(number, int(match[1]), float(match[2]), float(match[3]), str(number) in ticked)
        )
    return tuple(rows)


def _spread(typed: Typed) -> float:
    try:
        value = float(typed.last("spread", "0.02"))
    except ValueError:
        return 0.02
    return value if 0.005 <= value <= 2.0 else 0.02


def _moments(text: str) -> list[float]:
    """Moments of missed turns, from seconds with blanks between.

    Raises:
        BadInput: something there is no number.
    """
    words = [word.strip(",") for word in re.split(r"[;\s]+", text) if word.strip(",")]
    try:
        found = [float(word.replace(",", ".")) for word in words]
    except ValueError as bad:
        raise BadInput(
            "A missed turn is a moment in seconds such as 12.4, more with blanks between."
        ) from bad
    if not found:
        raise BadInput("Say at which second the missed turn was: read it off the trace.")
    return found


def _with_turn(rows: tuple[Row, ...], moment: float) -> tuple[Row, ...]:
    """The strokes with one turn more: the stroke it falls in becomes two, one each way.

    Strokes go up and down in turn; where the next stroke would go the same way as the second half,
    all after it are taken to go the other way than was thought.

    Raises:
        BadInput: no stroke is under way at that moment.
    """
    under_way = [
        k for k, r in enumerate(rows)
        if r.start + _LEAST_STROKE < moment < r.start + r.length - _LEAST_STROKE
    ]  # fmt: skip
    if not under_way:
        raise BadInput(f"No stroke is under way at {moment:g} s; read the moment off the trace.")
    place, row = under_way[0], rows[under_way[0]]
    before, after = moment - row.start, row.start + row.length - moment
    other = 1 - row.kind
    halves = (
        Row(0, row.kind, row.start, before, used=True, why="turn put in"),
        Row(0, other, moment, after, used=True, why="turn put in"),
    )
    rest = rows[place + 1 :]
    if rest and rest[0].kind == other:
        rest = tuple(replace(r, kind=1 - r.kind) for r in rest)
    whole = (*rows[:place], *halves, *rest)
    return tuple(replace(r, number=k) for k, r in enumerate(whole, 1))


def _ragged(rows: tuple[Row, ...]) -> str:
    """Which strokes of one way differ twofold from their middle, told; empty where none do."""
    for kind in (0, 1):
        lengths = [row.length for row in rows if row.used and row.kind == kind]
        if len(lengths) < 2:
            continue
        middle = median(lengths)
        if min(lengths) < 0.5 * middle or max(lengths) > 2.0 * middle:
            return (
                f"With that turn, strokes of one way last from {min(lengths):.2f} to "
                f"{max(lengths):.2f} s: it may lie in another stroke than you meant. Untick what "
                "is wrong, or send the recording again."
            )
    return ""


def _keep(desk: Desk, visit_id: str, form: KeepForm) -> None:
    if form.first not in ("up", "down"):
        raise BadInput("Say which way the first stroke goes: watch the rod and the trace.")
    lead = form.rows[0].kind
    same = [row.length for row in form.rows if row.used and row.kind == lead]
    other = [row.length for row in form.rows if row.used and row.kind != lead]
    up, down = (same, other) if form.first == "up" else (other, same)
    workflow.save(desk, visit_id, up, down, spread=form.spread, beside=form.beside)


@router.post("/visits/{visit_id}/listen/keep")
def keep(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Keep the strokes ticked with the running checks, or put in a turn that was missed."""
    view = workflow.view(desk, visit_id)
    try:
        rows = _unpacked(typed)
    except BadInput as fault:
        return _page(request, view, fault=fault)
    form = KeepForm(rows, typed.last("first"), _spread(typed), _has_times(view),
                    beside=typed.last("beside") == "yes")  # fmt: skip
    missed = typed.last("missed").strip()[:200]
    try:
        if missed or typed.last("add"):
            for moment in _moments(missed):
                form = replace(form, rows=_with_turn(form.rows, moment))
            form = replace(form, note="" if _ragged(rows) else _ragged(form.rows))
            return _page(request, view, keep=form, first=form.first)
        _keep(desk, visit_id, form)
    except BadInput as bad:
        again = replace(form, rows=rows, fault=str(bad), missed=missed)
        return _page(request, view, keep=again, first=form.first)
    return go(f"/visits/{visit_id}/checks", saved="1", anchor="answer")
