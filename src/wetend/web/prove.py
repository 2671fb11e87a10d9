"""Stage six: proof tests of the rebuilt pump."""

from __future__ import annotations

from dataclasses import dataclass, replace

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.prove.acts import FIRST_PRESSURE, GROUPS, Act, in_group, warned
from wetend.advice.prove.proof import Proof, ProofTest
from wetend.advice.reasons import Caution, Verdict
from wetend.drawings.measuring import running, scheme
from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.proof_readings import ProofReadings
from wetend.units.message import Message, Words
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.form_data import read_noun
from wetend.web.forms import Form, FormSpec, Section
from wetend.web.pages import drawing, go
from wetend.web.stage import RejectedForm, VisitHead, form_for, head_of, stage_page
from wetend.workflows import prove as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
PROOF = FormSpec(
    ProofReadings,
    key="proof",
    submit=Message("Save and judge"),
    labels={
        "solvent_lost": Message("Loss through the foot valve"),
        "solvent_head": Message("Height of solvent"),
        "solvent_time": Message("Time waited"),
        "stall_pressure": Message("Gauge at stall"),
        "stall_settled": Message("Waited before the first mark"),
        "stall_time": Message("Time between the marks"),
        "stall_creep_up": Message("Rod moved, going up"),
        "stall_creep_down": Message("Rod moved, going down"),
        "rod_held": Message("What keeps the rod from moving"),
        "hold_start": Message("Gauge at the start"),
        "hold_end": Message("Gauge at the end"),
        "hold_time": Message("Time held"),
        "bucket_volume": Message("Volume caught"),
        "bucket_cycles": Message("Cycles counted"),
        "wet_cup": Message("Seen in the wet cup"),
        "limit_setting": Message("Set to"),
        "limit_where": Message("Where it is read"),
        "bonding": Message("Largest resistance, metal to metal"),
    },
    choices={
        "rod_held": {
            "drive fluid trapped": Message("Drive fluid trapped"),
            "cock at the outlet": Message("Cock at the outlet shut"),
            "drive vented": Message("Nothing: drive vented"),
            "not known": Message("Not known"),
        },
        "limit_where": {
            "drive's supply": Message("At the drive's supply"),
            "pump's outlet": Message("At the pump"),
        },
    },
)
_UNCERTAIN = Section(
    Message("Uncertainties and a note"), ("gauge_spread", "bucket_spread", "instruments", "note"),
    folded=True,
)  # fmt: skip
_GRAVEST = (Verdict.FAIL, Verdict.NOT_PROVEN, Verdict.WATCH, Verdict.PASS)


@dataclass(frozen=True)
class ResultGroup:
    """The tests of one group with the group's name."""

    name: str
    verdict: Verdict
    tests: tuple[ProofTest, ...]


@dataclass(frozen=True)
class ProvePage:
    """The proof page: the verdict, the readings by group, and each test with its limit."""

    head: VisitHead
    stage: workflow.ProveView
    proof: Form
    results: tuple[ResultGroup, ...]
    scheme: Markup
    """The pump at work, which the pictures of the acts point to."""


def results_of(proof: Proof | None) -> tuple[ResultGroup, ...]:
    """The tests group by group, each group with its gravest verdict."""
    found = []
    for key, name in GROUPS.items():
        tests = tuple(t for t in proof.tests if t.group == key) if proof else ()
        if tests:
            said = {t.verdict for t in tests}
            worst = next((v for v in _GRAVEST if v in said), Verdict.NOT_APPLICABLE)
            found.append(ResultGroup(name, worst, tests))
    return tuple(found)


def _section(act: Act, shown: tuple[Caution, ...], how: str, picture: str) -> Section:
    return Section(act.title, act.fields, how=how, cautions=shown, picture=picture)


def sections_of(proof: Proof | None, pump: Pump, reader: Words) -> tuple[Section, ...]:
    """The form's sections: groups of acts, the first group not yet proven open."""
    hows = {t.act: t.how for t in proof.tests} if proof else {}
    verdicts = {r.name: r.verdict for r in results_of(proof)}
    pending = [n for n in GROUPS.values() if verdicts.get(n) in (None, *_GRAVEST[:2])]
    found = []
    for key, name in GROUPS.items():
        acts = in_group(key)
        cautions = warned(act.cautions for act in acts)
        parts = tuple(
            _section(
                act,
                shown,
                hows.get(act.key, act.how),
                drawing(running.proof(pump, act.key, reader=reader, alone=False)),
            )
            for act, shown in zip(acts, cautions, strict=True)
        )
        found.append(
            Section(
                name, folded=True, parts=parts, state=verdicts.get(name),
                cautions=(FIRST_PRESSURE,) if key == "stall" else (), open=name in pending[:1],
            )
        )  # fmt: skip
    return (*found, _UNCERTAIN)


def _page(
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None
) -> Response:
    view = workflow.view(desk, visit_id)
    asked = replace(PROOF, sections=sections_of(view.proof, view.visit.pump, desk.reader))
    kept, path = view.visit.proof, f"/visits/{visit_id}/prove"
    shown = kept.model_copy(update={"rod_held": "not known"}) if kept and kept.older else kept
    form = form_for(asked, path, shown, again, system=desk.system)
    if view.opened_since:
        form = replace(form, was="")  # saved once more, they are readings of after the strip
    elif shown is not kept and kept is not None and again is None:
        form = replace(form, was=kept.model_dump_json(exclude_unset=True))
    page = ProvePage(head_of(view.visit, "prove"), view, form, results_of(view.proof),
                     drawing(scheme.stock()))  # fmt: skip
    return stage_page(request, view.visit, "prove", page, again=again)


@router.get("/visits/{visit_id}/prove")
def show(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The proof as it stands."""
    return _page(request, desk, visit_id)


@router.post("/visits/{visit_id}/prove/to-checks")
def to_checks(desk: AtDesk, visit_id: VisitId) -> Response:
    """Take the proof readings back into the running checks, to find the fault with them."""
    workflow.carry_to_checks(desk, visit_id)
    return go(f"/visits/{visit_id}/checks", saved="1", anchor="answer")


@router.post("/visits/{visit_id}/prove")
def save(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the proof readings."""
    try:
        readings = read_noun(ProofReadings, typed.own, typed.system)
        workflow.save(desk, visit_id, readings)
    except BadInput as bad:
        return _page(request, desk, visit_id, RejectedForm("proof", typed, bad))
    return go(f"/visits/{visit_id}/prove", saved="1", anchor="answer")
