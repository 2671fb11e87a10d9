"""Receives step marks and “pump ran” reports from devices, at once or later."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from wetend.advice.safety.zero import Zero
from wetend.pump.make_safe import PumpRan
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.form_data import Typed, read_noun
from wetend.web.pages import go, own_path
from wetend.workflows import rebuild, strip, zero
from wetend.workflows.marks import Mark, Marked, all_kept
from wetend.workflows.zero import zero_of

router = APIRouter()
_OLDEST: Final = timedelta(days=400)
"""A mark said to be older than this is taken as so old; it is of another day in any case."""


def made_at(age: str, now: datetime) -> datetime | None:
    """When something was done that a device says is so many milliseconds old.

    The device says how old it is and not when it was: so its clock may show any time. ``None``
    where it does not say, or says what can't be, as after its clock was set back.

    >>> made_at("60000", datetime(2031, 5, 4, 12, 0, tzinfo=UTC)).isoformat()
    '2031-05-04T11:59:00+00:00'
    >>> made_at("-5", datetime(2031, 5, 4, tzinfo=UTC))
    """
    try:
        milliseconds = float(age)
    except ValueError:
        return None
    if not math.isfinite(milliseconds) or milliseconds < 0:
        return None
    oldest = _OLDEST / timedelta(milliseconds=1)
    return now - timedelta(milliseconds=min(milliseconds, oldest))


def marks_of(typed: Typed) -> tuple[Mark, ...]:
    """The marks of a form: steps done and withdrawn, each with its age where it is said."""
    now = datetime.now(UTC)
    return tuple(
        Mark(step, done=name == "done", at=made_at(typed.last(f"age.{step}"), now))
        for name in ("done", "undone")
        for step in typed.all(name)
    )


def by_script(request: Request) -> bool:
    """Whether a page's script asks, and reads the answer itself."""
    return "application/json" in request.headers.get("accept", "")


def zero_json(seen: Zero) -> dict[str, object]:
    """Whether zero is proven, for a page's script."""
    proof = seen.proven.id if seen.stands and seen.proven else ""
    return {"stands": seen.stands, "line": seen.line, "proof": proof}


def _answer(request: Request, marked: Marked, path: str, typed: Typed) -> Response:
    if by_script(request):
        refused = {r.step: r.why for r in marked.refused}
        return JSONResponse({"refused": refused, "zero": zero_json(marked.zero)})
    all_kept(marked)
    return go(path, anchor=_next(typed))


def _next(typed: Typed) -> str:
    """Where the browser goes on without script: the step after one done, else the same one."""
    at = typed.last("at")
    number = int(at) if at.isascii() and at.isdigit() and len(at) < 4 else 0
    return f"step-{number + bool(typed.all('done'))}" if number else ""


@router.post("/visits/{visit_id}/strip/marks")
def mark_strip(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Mark operations of the strip done, or take marks off.

    A script is sent which are not kept, and why; without one the first of them is an error.
    """
    marked = strip.keep(desk, visit_id, marks_of(typed))
    return _answer(request, marked, f"/visits/{visit_id}/strip/steps", typed)


@router.post("/visits/{visit_id}/rebuild/marks")
def mark_rebuild(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Mark steps of the rebuild done, or take marks off; as the strip's."""
    marked = rebuild.keep(desk, visit_id, marks_of(typed))
    return _answer(request, marked, f"/visits/{visit_id}/rebuild/steps", typed)


@router.post("/visits/{visit_id}/ran")
def save_ran(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Say that the pump ran, or may hold pressure, again."""
    ran = read_noun(PumpRan, {"why": typed.texts.get("why", ())}, typed.system)
    at = made_at(typed.last("age"), datetime.now(UTC))
    visit = zero.report_ran(desk, visit_id, ran, at=at)
    if by_script(request):
        return JSONResponse({"zero": zero_json(zero_of(visit, desk.who))})
    back = own_path(typed.last("_back", f"/visits/{visit_id}/complaint"))
    return go(back, saved="1", anchor="zero")
