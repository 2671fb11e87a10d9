"""Stage three: the tool bag, the strip card, one step after another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.reasons import Caution
from wetend.advice.safety.site_hazards import cleaning
from wetend.advice.strip.bag import tool_titles
from wetend.advice.strip.plan import Step
from wetend.drawings.acts.picture import pictures_of
from wetend.errors import BadInput
from wetend.pump.readings import ToolBag
from wetend.units.message import Message, Words
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.form_data import read_noun
from wetend.web.forms import Form, FormSpec
from wetend.web.make_safe import GateView, gate_view, save_list
from wetend.web.pages import drawing, go
from wetend.web.stage import RejectedForm, VisitHead, form_for, head_of, stage_page
from wetend.workflows import strip as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
PLACES = {"site": Message("On site"), "bench": Message("At a bench")}
GOALS = {
    "foot-valve": Message("Foot valve only"),
    "piston": Message("Down to the piston"),
    "static-packings": Message("Static packings"),
    "whole": Message("The whole wet end"),
}


def bag_spec() -> FormSpec:
    """The form of the tool bag."""
    return FormSpec(
        ToolBag,
        key="bag",
        submit=Message("Find the order"),
        labels={
            "place": Message("Where"),
            "tools": Message("Tools to hand"),
            "also": Message("Also in the same strip"),
        },
        choices={
            "place": PLACES,
            "goal": GOALS,
            "also": {key: word for key, word in GOALS.items() if key != "whole"},
            "tools": {key: word for key, word in tool_titles().items() if key != "vice"},
        },
    )


@dataclass(frozen=True)
class StripPage:
    """The strip page: the tool bag, the plan, and the step that stands next."""

    head: VisitHead
    stage: workflow.StripView
    gate: GateView
    bag: Form
    now: Step | None
    """The first step not done, or the one asked for."""
    before: Step | None
    after: Step | None
    count_done: int
    path: str
    place: str
    clean: tuple[Caution, ...]
    """Before the parts are cleaned."""
    act: Markup | None = None
    """The step shown, drawn, and before it the parts that it points to."""
    tray: Markup | None = None
    """What has come off, in order, and what is still to come."""


def _around(
    view: workflow.StripView, asked: int | None
) -> tuple[Step | None, Step | None, Step | None]:
    """The step to show with its neighbours."""
    steps = view.plan.steps if view.plan else ()
    if not steps:
        return None, None, None
    todo = next((i for i, s in enumerate(steps) if s.operation.key not in view.done), None)
    at = asked - 1 if asked is not None and 1 <= asked <= len(steps) else todo
    if at is None:
        return None, steps[-1], None
    before = steps[at - 1] if at else None
    return steps[at], before, steps[at + 1] if at + 1 < len(steps) else None


def _page(
    request: Request,
    desk: Desk,
    visit_id: str,
    *,
    step: int | None = None,
    again: RejectedForm | None = None,
) -> Response:
    view = workflow.view(desk, visit_id)
    path = f"/visits/{visit_id}/strip"
    now, before, after = _around(view, step)
    steps = view.plan.steps if view.plan else ()
    page = StripPage(
        head_of(view.visit, "strip"),
        view,
        gate_view(view.gate, view.visit, desk, path, again),
        form_for(bag_spec(), path, view.visit.bag, again, system=desk.system),
        now,
        before,
        after,
        sum(1 for s in steps if s.operation.key in view.done),
        path,
        PLACES[view.visit.bag.place] if view.visit.bag else "",
        cleaning(view.visit.coating),
        _act(view, now, desk.reader) if now else None,
        _tray(view, desk.reader, stock=now is None) if steps else None,
    )
    return stage_page(request, view.visit, "strip", page, again=again)


def _act(view: workflow.StripView, now: Step, reader: Words) -> Markup:
    """The step that is shown, drawn after the steps before it."""
    steps = view.plan.steps if view.plan else ()
    pictures = pictures_of(view.visit.pump, reader=reader)
    before = [s.operation.key for s in steps if s.number < now.number]
    return drawing(pictures.stock + pictures.strip(now.operation, before, used=now.used))


def _tray(view: workflow.StripView, reader: Words, *, stock: bool) -> Markup:
    """What lies on the tray; with the parts where no act brings them."""
    pictures = pictures_of(view.visit.pump, reader=reader)
    drawn = pictures.tray(view.order, view.done, view.coming)
    return drawing(pictures.stock + drawn if stock else drawn)


@router.get("/visits/{visit_id}/strip")
def show(
    request: Request,
    desk: AtDesk,
    visit_id: VisitId,
    step: Annotated[int | None, Query(ge=1, le=99)] = None,
) -> Response:
    """The plan, at the step that stands next or the one asked for."""
    return _page(request, desk, visit_id, step=step)


@router.post("/visits/{visit_id}/strip")
def save_bag(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save where the strip happens and what is to hand."""
    try:
        bag = read_noun(ToolBag, typed.own, typed.system)
        workflow.save_bag(desk, visit_id, bag)
    except BadInput as bad:
        return _page(request, desk, visit_id, again=RejectedForm("bag", typed, bad))
    return go(f"/visits/{visit_id}/strip", saved="1", anchor="answer")


@router.post("/visits/{visit_id}/strip/make-safe")
def save_make_safe(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the make-safe list as ticked."""
    return save_list(
        desk, visit_id, typed, back=f"/visits/{visit_id}/strip",
        page=lambda again: _page(request, desk, visit_id, again=again),
    )  # fmt: skip


@router.post("/visits/{visit_id}/strip/anew")
def begin_anew(desk: AtDesk, visit_id: VisitId) -> Response:
    """Open the pump again: the marks of strip and rebuild count no more."""
    workflow.begin_anew(desk, visit_id)
    return go(f"/visits/{visit_id}/strip", saved="1", anchor="answer")


@router.post("/visits/{visit_id}/strip/done")
def save_done(desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Mark an operation done, or take the mark off again.

    Raises:
        NotSafe: zero does not stand for whoever marks it.
    """
    done, undone = typed.last("operation").strip(), typed.last("undo").strip()
    workflow.mark(desk, visit_id, done=(done,) if done else (), undone=(undone,) if undone else ())
    return go(f"/visits/{visit_id}/strip", anchor="answer")
