"""Stage two: running checks and the diagnosis from them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from statistics import fmean, stdev

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.diagnosis.answers import CheckAdvice
from wetend.advice.diagnosis.checks import CHECKS, Check
from wetend.advice.diagnosis.diagnose import Diagnosis
from wetend.drawings import bars, strokes
from wetend.drawings.measuring import running, scheme
from wetend.errors import BadInput, NotFound
from wetend.physics.rheology.laws import parameters
from wetend.pump.coating import Coating
from wetend.pump.readings import CheckReadings
from wetend.records.fold import Visit
from wetend.units.message import Message, Words
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.choices import cup_names, solvent_names
from wetend.web.form_data import read_noun, with_key
from wetend.web.forms import Form, FormSpec, Section
from wetend.web.pages import drawing, go, render
from wetend.web.ready import ahead
from wetend.web.stage import RejectedForm, VisitHead, form_for, head_of, stage_page
from wetend.workflows import checks as workflow
from wetend.workflows import visits
from wetend.workflows.desk import Desk

router = APIRouter()
STROKES = next(check for check in CHECKS if check.key == "strokes")
_SHOWN = 7
"""Faults shown as bars; the rest are listed under them."""
READINGS = FormSpec(
    CheckReadings,
    key="readings",
    submit=Message("Save and calculate"),
    sections=(
        Section(Message("Stroke times"), ("up_times", "down_times")),
        Section(
            Message("Gauge and creep"),
            ("spray_pressure", "stall_pressure", "creep_up", "creep_down", "supply_pressure"),
        ),
        Section(
            Message("What is seen"),
            ("wet_cup", "early_drop", "drop", "changeover", "turn_pause", "outside_looked"),
        ),
        Section(
            Message("Further checks"),
            (
                "cycle_rate",
                "slow_drop",
                "air_seen",
                "suction_lifted",
                "fresh_suction",
                "creep_place",
                "nozzle_turned",
                "wash",
                "nozzle_changed",
                "filter_looked",
                "solvent_test",
            ),
            folded=True,
        ),
        Section(
            Message("Bucket test"), ("bucket_volume", "bucket_time", "bucket_cycles"), folded=True
        ),
        Section(Message("Could not do"), ("could_not",), folded=True),
        Section(
            Message("Temperature, taps and a note"),
            ("temperature", "tap_spread", "note"),
            folded=True,
        ),
    ),
    choices={"could_not": {check.key: check.title for check in CHECKS}},
    hints={
        "up_times": Message("Seconds for each stroke while spraying, separated by commas"),
        "down_times": Message("Seconds for each stroke while spraying, separated by commas"),
    },
)
COATING = FormSpec(
    Coating,
    key="coating",
    submit=Message("Save this coating for the visit"),
    labels={"key": Message("Short id"), "law": Message("How it flows")},
    hints={"key": Message("Lower-case letters, digits and hyphens; blank: made from the name")},
    first=("name",),
    not_needed=frozenset({"key"}),
    choices={"cup": cup_names(), "solvent": solvent_names(may_lack=True)},
    sections=(
        Section(Message("The coating"), ("name", "key", "density", "temperature")),
        Section(
            Message("How it flows"),
            (
                "law",
                *(parameter.name for parameter, _ in parameters()),
                "cup",
                "cup_time",
                "spread",
            ),
        ),
        Section(
            Message("Film and spraying"),
            (
                "volume_solids",
                "dry_film",
                "abrasiveness",
                "spray_pressure_low",
                "spray_pressure_high",
                "solvent",
                "vapour_pressure",
            ),
        ),
        Section(
            Message("Hazards to people"),
            (
                "two_pack",
                "pot_life",
                "isocyanate",
                "holds_lead",
                "water_borne",
                "flash_point",
            ),
        ),
    ),
    long=frozenset({"law", "abrasiveness"}),
)


@dataclass(frozen=True)
class ChecksPage:
    """The running checks: which coating, the readings, and what explains them."""

    head: VisitHead
    stage: workflow.ChecksView
    readings: Form
    strokes: Markup | None
    """Stroke times against a sound pump's; ``None`` until timed and the coating is known."""
    faults: Markup | None
    chosen: str
    """Key of the coating chosen."""
    further: tuple[Check | CheckAdvice, ...]
    """Every check but the best: those left where a diagnosis ranks them, else all of them."""
    scheme: Markup
    """The pump at work, which the pictures of the checks point to."""
    pictures: Mapping[str, Markup]
    """Where each check is read, by its key."""
    trouble: str
    """Why what the readings will take could not be made ready; blank where nothing went wrong."""
    strokes_check: Check = STROKES
    """How strokes are tapped, and what can hurt in it."""


@dataclass(frozen=True)
class CoatingPage:
    """The form that describes a coating for a visit."""

    head: VisitHead
    coating: Form


def _mean(times: tuple[float, ...]) -> tuple[float | None, float]:
    """Mean stroke time and the standard uncertainty of that mean."""
    if not times:
        return None, 0.0
    spread = stdev(times) / len(times) ** 0.5 if len(times) > 1 else 0.0
    return fmean(times), spread


def _strokes(view: workflow.ChecksView, reader: Words) -> Markup | None:
    readings, healthy = view.visit.readings, view.healthy
    if readings is None or healthy is None or not (readings.up_times or readings.down_times):
        return None
    up, up_spread = _mean(readings.up_times)
    down, down_spread = _mean(readings.down_times)
    return drawing(
        strokes.compare(
            up, down, healthy.up_time, healthy.down_time, up_spread, down_spread, reader=reader
        )
    )


def _further(diagnosis: Diagnosis | None) -> tuple[Check | CheckAdvice, ...]:
    if diagnosis is None:
        return CHECKS
    best = diagnosis.best
    return tuple(c for c in diagnosis.checks if best is None or c.key != best.key)


def ready_for_readings(visit: Visit) -> str:
    """Have computed ahead what readings will take.

    Returns:
        Why it failed when it was last tried, as a sentence; blank where it did not.
    """
    if workflow.is_ready_for(visit):
        return ""
    return ahead(
        ("readings", visit.pump, visit.coating, visit.bag), lambda: workflow.make_ready_for(visit),
        title=Message("getting ready for readings"), sort="readings",
    )  # fmt: skip


def _page(
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None
) -> Response:
    view = workflow.view(desk, visit_id)
    visit = view.visit
    trouble = ready_for_readings(visit) if view.diagnosis is None else ""
    page = ChecksPage(
        head_of(visit, "checks"),
        view,
        form_for(READINGS, f"/visits/{visit_id}/checks", visit.readings, again, system=desk.system),
        _strokes(view, desk.reader),
        drawing(bars.faults(view.diagnosis.findings[:_SHOWN], reader=desk.reader))
        if view.diagnosis
        else None,
        visit.coating.key if visit.coating else "",
        _further(view.diagnosis),
        drawing(scheme.stock()),
        {
            check.key: drawing(
                running.check(visit.pump, check.key, reader=desk.reader, alone=False)
            )
            for check in CHECKS
        },
        trouble,
    )
    return stage_page(request, visit, "checks", page, again=again)


@router.get("/visits/{visit_id}/checks")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The readings as they stand, with what explains them."""
    return _page(request, desk, visit_id)


@router.post("/visits/{visit_id}/checks")
def save(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the readings."""
    try:
        readings = read_noun(CheckReadings, typed.own, typed.system)
        workflow.save(desk, visit_id, readings)
    except BadInput as bad:
        return _page(request, desk, visit_id, RejectedForm("readings", typed, bad))
    return go(f"/visits/{visit_id}/checks", saved="1", anchor="answer")


@router.post("/visits/{visit_id}/checks/coating")
def choose(desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Choose one of the known coatings for the visit."""
    key = typed.last("coating")
    if not key:
        raise NotFound(Message("Choose a coating from the list first, or describe one."))
    visits.choose_coating(desk, visit_id, desk.coating(key))
    return go(f"/visits/{visit_id}/checks", saved="1")


@router.get("/visits/{visit_id}/coating")
def describe(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """A form for a coating not in the list; filled from the one chosen."""
    return _coating_page(request, desk, visit_id)


def _coating_page(
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None
) -> Response:
    visit = desk.visit(visit_id)
    form = form_for(
        COATING, f"/visits/{visit_id}/coating", visit.coating, again, system=desk.system
    )
    status = again.bad.status if again and again.bad else 200
    page = CoatingPage(head_of(visit, "checks"), form)
    return render(request, "coating.html", page, title=Message("Coating"), status=status)


@router.post("/visits/{visit_id}/coating")
def save_coating(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save a coating described here for this visit."""
    try:
        coating = read_noun(Coating, with_key(typed.own), typed.system)
        visits.choose_coating(desk, visit_id, coating)
    except BadInput as bad:
        return _coating_page(request, desk, visit_id, RejectedForm("coating", typed, bad))
    return go(f"/visits/{visit_id}/checks", saved="1")
