"""Stage five: rebuilding the seal stack."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Annotated

from fastapi import APIRouter, Query
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.rebuild.plan import RebuildStep
from wetend.advice.rebuild.soft_rings import RingLook, ring_looks
from wetend.drawings import clock, stack
from wetend.drawings.acts.picture import pictures_of
from wetend.drawings.looks.rings import ring_picture
from wetend.drawings.measuring.benches import measuring
from wetend.errors import BadInput, NotFound
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.units.message import Message, Words
from wetend.units.quantity import M, unit_of
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.fitted_form import FittedForm, fitted_form
from wetend.web.form_data import read_noun
from wetend.web.forms import Form, FormSpec, ask, default_texts, exact, texts_of
from wetend.web.looks import PROPOSED
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
class RingCard:
    """One picture of a soft ring to choose."""

    look: RingLook
    path: str
    svg: Markup
    chosen: bool


@dataclass(frozen=True)
class RebuildPage:
    """The rebuild page: heights and tin, the fit, and the drawings of it."""

    head: VisitHead
    stage: workflow.RebuildView
    gate: GateView
    how: Markup
    """Where and how heights, shims and depth are measured."""
    looks: tuple[RingCard, ...]
    """What its soft rings may look like."""
    proposal: RingLook | None
    """Of the picture chosen, whose height stands in the form and is not saved."""
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
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None,
    *, like: str = "",
) -> Response:  # fmt: skip
    """The rebuild as it stands, a form of it again if it has errors."""
    view = workflow.view(desk, visit_id)
    visit, fit = view.visit, view.fit
    pump = visit.pump
    looks = ring_looks(pump, (visit.stack or StackMeasured()).height_spread)
    chosen = next((look for look in looks if look.key == like), None)
    if like and chosen is None:
        raise NotFound(Message("There is no such picture of a ring. Choose one from the page."))
    shown = RebuildPage(
        head_of(visit, "rebuild"),
        view,
        gate_view(view.gate, visit, desk, f"/visits/{visit_id}/rebuild", again),
        drawing(measuring(pump, "stack", reader=desk.reader)),
        tuple(
            RingCard(x, f"/visits/{visit_id}/rebuild?like={x.key}#proposal",
                     drawing(ring_picture(x, reader=desk.reader)), x is chosen)
            for x in looks
        ),
        chosen,
        _form(desk, visit_id, again, chosen),
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


def _form(desk: Desk, visit_id: str, again: RejectedForm | None, chosen: RingLook | None) -> Form:
    """The stack's form as kept; a picture's height in it, marked as a proposal."""
    visit, path = desk.visit(visit_id), f"/visits/{visit_id}/rebuild"
    spec, kept = form_spec(visit.pump), visit.stack
    if chosen is None:
        return form_for(spec, path, kept, again, system=desk.system)
    field = f"heights.{chosen.name}"
    usual = texts_of(kept, desk.system) if kept else default_texts(StackMeasured, desk.system)
    texts = {**usual, field: (exact(float(f"{chosen.height:.4g}"), unit_of(M), desk.system),)}
    asked = replace(spec, key=f"{spec.key}-as-{chosen.key}", hints={**spec.hints, field: PROPOSED})
    form = ask(asked, path, texts, system=desk.system)
    return replace(form, was=kept.model_dump_json(exclude_unset=True) if kept else "null")


@router.get("/visits/{visit_id}/rebuild")
def show(
    request: Request,
    desk: AtDesk,
    visit_id: VisitId,
    like: Annotated[str, Query(max_length=120)] = "",
) -> Response:
    """The stack as it stands; ``like`` is a picture's key, whose height the form proposes."""
    return page(request, desk, visit_id, like=like)


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
