"""Stage five: rebuilding the seal stack."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.rebuild.plan import RebuildStep
from wetend.drawings import clock, stack
from wetend.drawings.acts.picture import pictures_of
from wetend.drawings.measuring.benches import measuring
from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.units.message import Message, Words
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.fitted_form import FittedForm, fitted_form
from wetend.web.form_data import read_noun
from wetend.web.forms import Form, FormSpec
from wetend.web.make_safe import GateView, gate_view, save_list
from wetend.web.pages import drawing, go
from wetend.web.stage import RejectedForm, VisitHead, form_for, head_of, stage_page
from wetend.workflows import fitted
from wetend.workflows import rebuild as workflow
from wetend.workflows.desk import Desk

router = APIRouter()


@dataclass(frozen=True)
class VariantView:
    """One way to fit the shims wrongly, with its drawing."""

    title: str
    why: str
    picture: Markup


@dataclass(frozen=True)
class RebuildPage:
    """The rebuild page: heights and tin, the fit, and the drawings of it."""

    head: VisitHead
    stage: workflow.RebuildView
    gate: GateView
    how: Markup
    """Where and how heights, shims and depth are measured."""
    stack: Form
    section: Markup | None
    clock: Markup | None
    variants: tuple[VariantView, ...]
    titles: dict[str, str]
    """What each ring is called, by its name."""
    path: str
    count_done: int
    """Steps of the rebuild done."""
    fitted: FittedForm
    now: RebuildStep | None
    """The next step to do."""
    act: Markup | None
    """That step drawn."""
    tray: Markup | None
    """What is still on the tray, and which of it goes in next."""


def form_spec(pump: Pump) -> FormSpec:
    """The stack's form: one height for each of this pump's own parts."""
    return FormSpec(
        StackMeasured,
        key="stack",
        submit=Message("Calculate the stack"),
        keys={"heights": {p.name: p.title or p.name for p in pump.stack.parts}},
        labels={"heights": Message("Heights as measured")},
        hints={
            "heights": Message("Blank: as in the description"),
            "tin": Message("Every shim to hand, separated by commas; 2x0.5 means two of 0.5"),
        },
    )


def page(
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None
) -> Response:
    """The rebuild as it stands, a form of it again if it has errors."""
    view = workflow.view(desk, visit_id)
    visit, fit, system = view.visit, view.fit, desk.system
    pump = visit.pump
    shown = RebuildPage(
        head_of(visit, "rebuild"),
        view,
        gate_view(view.gate, visit, desk, f"/visits/{visit_id}/rebuild", again),
        drawing(measuring(pump, "stack", reader=desk.reader)),
        form_for(
            form_spec(pump), f"/visits/{visit_id}/rebuild", visit.stack, again, system=system
        ),
        drawing(stack.section(fit, pump, reader=desk.reader)) if fit else None,
        drawing(
            clock.face(
                fit.stop_angle, fit.spread.low, fit.spread.high, fit.target,
                pump.stack.target_within, set_by_hand=fit.turns_freely, reader=desk.reader,
            )
        ) if fit else None,
        tuple(
            VariantView(v.title, v.why, drawing(stack.variant(v, fit, pump, reader=desk.reader)))
            for v in (fit.variants if fit else ())
        ),
        {p.name: p.title or p.name for p in pump.stack.parts},
        f"/visits/{visit_id}/rebuild",
        sum(1 for s in (view.plan.steps if view.plan else ()) if s.key in view.done),
        fitted_form(fitted.view_of(desk, visit), "rebuild", again),
        *_next(view, desk.reader),
    )  # fmt: skip
    return stage_page(request, visit, "rebuild", shown, again=again)


def _next(
    view: workflow.RebuildView, reader: Words
) -> tuple[RebuildStep | None, Markup | None, Markup | None]:
    """The first step not done, its picture, and the tray."""
    steps = view.plan.steps if view.plan else ()
    now = next((s for s in steps if s.key not in view.done), None)
    if now is None:
        return None, None, None
    pictures = pictures_of(view.visit.pump, reader=reader)
    drawn = pictures.rebuild_steps([(s.key, s.title, s.used) for s in steps])
    svg = next(svg for step, svg in zip(steps, drawn, strict=True) if step is now)
    tray = drawing((pictures.stock if not svg else "") + pictures.tray(
        view.laid, view.apart, view.coming
    ))  # fmt: skip
    return now, drawing(pictures.stock + svg) if svg else None, tray


@router.get("/visits/{visit_id}/rebuild")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The stack as it stands."""
    return page(request, desk, visit_id)


@router.post("/visits/{visit_id}/rebuild")
def save(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the measured heights and the shims in the tin."""
    try:
        measured = read_noun(StackMeasured, typed.own, typed.system)
        workflow.save(desk, visit_id, measured)
    except BadInput as bad:
        return page(request, desk, visit_id, RejectedForm("stack", typed, bad))
    return go(f"/visits/{visit_id}/rebuild", saved="1", anchor="answer")


@router.post("/visits/{visit_id}/rebuild/make-safe")
def save_make_safe(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the make-safe list as ticked."""
    return save_list(
        desk, visit_id, typed, back=f"/visits/{visit_id}/rebuild",
        page=lambda again: page(request, desk, visit_id, again),
    )  # fmt: skip
