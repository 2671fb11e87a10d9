"""Stage four: parts measured and judged one by one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, cast

from fastapi import APIRouter, Query
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.inspect.judge import PartJudgement
from wetend.advice.reasons import Caution
from wetend.advice.safety.site_hazards import at_the_bench
from wetend.drawings.measuring.benches import measuring
from wetend.drawings.wet_end import section as wet_end
from wetend.errors import BadInput, NotFound
from wetend.pump.measurements import (
    BallMeasured,
    CylinderMeasured,
    Measured,
    PackingsMeasured,
    RodMeasured,
    SealLandMeasured,
    SeatMeasured,
    SolventTest,
)
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.choices import solvent_names
from wetend.web.fitted_form import FittedForm, fitted_form
from wetend.web.form_data import read_noun
from wetend.web.forms import Form, FormSpec
from wetend.web.looks import LookCard, Proposal, cards, chosen_of, looks_for, proposed_form
from wetend.web.pages import drawing, go
from wetend.web.stage import RejectedForm, VisitHead, form_for, head_of, stage_page
from wetend.workflows import fitted
from wetend.workflows import inspect as workflow
from wetend.workflows.desk import Desk

router = APIRouter()


@dataclass(frozen=True)
class Bench:
    """One part to measure: its model and its fixed fields."""

    title: str
    noun: type[Noun]
    fixed: Mapping[str, str]
    hints: Mapping[str, str]


_SEVERAL = Message(
    "Measure at several positions, turning it in between; separate the figures with commas"
)
BENCHES: Mapping[str, Bench] = {
    "foot-ball": Bench(
        Message("Foot-valve ball"), BallMeasured, {"end": "foot"}, {"diameters": _SEVERAL}
    ),
    "foot-seat": Bench(Message("Foot-valve seat"), SeatMeasured, {"end": "foot"}, {}),
    "foot-test": Bench(Message("Solvent test, foot valve"), SolventTest, {"end": "foot"}, {}),
    "rod": Bench(Message("Piston rod"), RodMeasured, {}, {"diameters": _SEVERAL}),
    "cylinder": Bench(Message("Cylinder"), CylinderMeasured, {}, {}),
    "seal-land": Bench(Message("Seal land"), SealLandMeasured, {}, {}),
    "moving-packings": Bench(Message("Moving packings"), PackingsMeasured, {"set": "moving"}, {}),
    "static-packings": Bench(Message("Static packings"), PackingsMeasured, {"set": "static"}, {}),
    "piston-ball": Bench(
        Message("Piston-valve ball"), BallMeasured, {"end": "piston"}, {"diameters": _SEVERAL}
    ),
    "piston-seat": Bench(Message("Piston-valve seat"), SeatMeasured, {"end": "piston"}, {}),
    "piston-test": Bench(Message("Solvent test, piston valve"), SolventTest, {"end": "piston"}, {}),
}
"""What is measured, in the order the parts come apart."""


@dataclass(frozen=True)
class BenchLine:
    """One line of the list of parts: measured or not, and its verdict."""

    key: str
    title: str
    path: str
    here: bool
    measured: bool


@dataclass(frozen=True)
class InspectPage:
    """The inspection page: the parts, the form of the one chosen, and the verdicts."""

    head: VisitHead
    stage: workflow.InspectView
    lines: tuple[BenchLine, ...]
    part: str
    title: str
    how: Markup
    """Where and how the part chosen is measured."""
    open: bool
    """Whether that picture is unfolded: until the part is measured."""
    looks: tuple[LookCard, ...]
    """What the part may look like."""
    proposal: Proposal | None
    """Of the picture chosen, whose values stand in the form and are not saved."""
    form: Form
    judgements: tuple[PartJudgement, ...]
    section: Markup
    fitted: FittedForm
    cautions: tuple[Caution, ...]
    """Before the part is cleaned and measured."""


def _kept(visit: Visit, bench: Bench) -> Noun | None:
    """What was measured on this bench, if anything."""
    for measured in visit.measured:
        if isinstance(measured, bench.noun) and all(
            getattr(measured, name) == value for name, value in bench.fixed.items()
        ):
            return measured
    return None


def _bench(part: str) -> Bench:
    if part not in BENCHES:
        raise NotFound(Message("There is no such part to measure. Choose one from the list."))
    return BENCHES[part]


def form_spec(part: str) -> FormSpec:
    """The form of one part's measurements."""
    bench = _bench(part)
    return FormSpec(
        bench.noun,
        key=part,
        submit=Message("Judge: {part}", part=bench.title.lower()),
        leave_out=frozenset(bench.fixed),
        hints=bench.hints,
        choices={"solvent": solvent_names(may_lack=False)},
        long=frozenset({"instrument"}),
    )


def _first_not_measured(visit: Visit) -> str:
    return next((k for k, b in BENCHES.items() if _kept(visit, b) is None), "foot-ball")


def page(
    request: Request, desk: Desk, visit_id: str, part: str, again: RejectedForm | None = None,
    *, like: str = "",
) -> Response:  # fmt: skip
    """The inspection as it stands, a form of it again if it has errors."""
    view = workflow.view(desk, visit_id)
    visit = view.visit
    part = part or _first_not_measured(visit)
    bench, path = _bench(part), f"/visits/{visit_id}/inspect"
    kept = _kept(visit, bench)
    looks = looks_for(visit, part, kept)
    like_it = chosen_of(looks, like)
    lines = tuple(
        BenchLine(k, b.title, f"{path}?part={k}#measure", k == part, _kept(visit, b) is not None)
        for k, b in BENCHES.items()
    )
    shown = InspectPage(
        head_of(visit, "inspect"),
        view,
        lines,
        part,
        bench.title,
        drawing(measuring(visit.pump, part, reader=desk.reader)),
        kept is None and like_it is None,
        cards(visit, part, looks, like_it, desk.reader),
        Proposal(like_it.title, like_it.verdict, like_it.sure) if like_it else None,
        proposed_form(
            form_spec(part),
            f"{path}/{part}",
            kept,
            like_it,
            system=desk.system,
            reader=desk.reader,
        )
        if like_it
        else form_for(form_spec(part), f"{path}/{part}", kept, again, system=desk.system),
        view.judgements,
        drawing(wet_end.section(visit.pump, view.marked, reader=desk.reader)),
        fitted_form(fitted.view_of(desk, visit), "inspect", again),
        at_the_bench(visit.coating, solvent=part.endswith("-test")),
    )
    return stage_page(request, visit, "inspect", shown, again=again)


@router.get("/visits/{visit_id}/inspect")
def show(
    request: Request,
    desk: AtDesk,
    visit_id: VisitId,
    part: Annotated[str, Query(max_length=40)] = "",
    like: Annotated[str, Query(max_length=40)] = "",
) -> Response:
    """The inspection as it stands, at the part asked for or the first not measured.

    ``like`` is a picture's key, whose values the form then proposes.
    """
    return page(request, desk, visit_id, part, like=like)


@router.post("/visits/{visit_id}/inspect/{part}")
def save(request: Request, desk: AtDesk, visit_id: VisitId, part: str, typed: Sent) -> Response:
    """Save one part's measurements."""
    bench = _bench(part)
    try:
        measured = read_noun(bench.noun, typed.own, typed.system, given=bench.fixed)
        workflow.save(desk, visit_id, cast(Measured, measured))
    except BadInput as bad:
        return page(request, desk, visit_id, part, RejectedForm(part, typed, bad))
    return go(f"/visits/{visit_id}/inspect", saved="1", anchor="answer")
