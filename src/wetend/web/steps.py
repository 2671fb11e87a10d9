"""Strip and rebuild one step per screen; one page with all steps, which works offline.

The page needs no connection once it is loaded. Marks wait on the device until they are sent; sent
twice they change nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.reasons import Caution
from wetend.advice.rebuild.plan import RebuildStep
from wetend.advice.safety.site_hazards import cleaning
from wetend.drawings import clock, packing_set, stack
from wetend.drawings.acts.picture import ActPictures, pictures_of
from wetend.drawings.acts.wrong import beside
from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.records.fold import Visit
from wetend.units.message import Message, Words
from wetend.units.quantity import NM, M, N
from wetend.web.access import AtDesk, Sent, VisitId
from wetend.web.make_safe import GateView, gate_view, save_list
from wetend.web.pages import drawing, render
from wetend.web.stage import RejectedForm
from wetend.workflows import rebuild, strip
from wetend.workflows.desk import Desk
from wetend.workflows.job import Job, job_of

router = APIRouter()
SOLVENT_STEP = "solvent-foot"
"""The step of a rebuild at which the proof's solvent test is read, before the pump is closed."""


@dataclass(frozen=True)
class Screen:
    """One step as it stands on its screen."""

    number: int
    key: str
    title: str
    how: str
    turn_to: str
    tools: tuple[str, ...]
    stand_ins: tuple[str, ...]
    shielded: tuple[str, ...]
    cautions: tuple[Caution, ...]
    done: bool
    notes: tuple[str, ...] = ()
    check: str = ""
    torque: NM | None = None
    lever: M | None = None
    pull: N | None = None
    picture: Markup | None = None
    act: Markup | None = None
    """The act drawn: what moves, which way, on the pump as it stands then."""
    wrong: Markup | None = None
    """How the part must not go back, beside how it does."""
    enter: str = ""
    """Where a reading taken at this step is entered; blank where there is none."""


@dataclass(frozen=True)
class StepsPage:
    """All steps of a strip or a rebuild, and where marks go."""

    visit: Visit
    screens: tuple[Screen, ...]
    gate: GateView
    marks: str
    """Where marks are sent."""
    back: str
    onward: str
    onward_word: str
    end_title: str
    end_lines: tuple[str, ...]
    job: Job
    end_cautions: tuple[Caution, ...] = ()
    """Before what is said once all steps are done."""
    tray: Markup | None = None
    """What lies on the tray at the end."""
    stock: Markup | None = None
    """The parts that the pictures of all acts point to."""

    @property
    def zero_at(self) -> int:
        """When zero was proven, in milliseconds since 1970; 0 where it does not stand."""
        proof = self.gate.zero.proven
        return round(proof.at.timestamp() * 1000) if proof and self.may_start else 0

    @property
    def may_start(self) -> bool:
        """Whether zero is proven for the user."""
        return self.gate.zero.stands

    @property
    def count(self) -> int:
        """How many steps there are."""
        return len(self.screens)

    @property
    def count_done(self) -> int:
        """How many of them are done."""
        return sum(1 for s in self.screens if s.done)


def _strip_screens(view: strip.StripView, pictures: ActPictures) -> Iterator[Screen]:
    steps = view.plan.steps if view.plan else ()
    drawn = pictures.strip_steps((step.operation, step.used) for step in steps)
    for step, svg in zip(steps, drawn, strict=True):
        yield Screen(
            step.number, step.operation.key, step.operation.title, step.operation.how,
            step.turn_to, step.tools, step.stand_ins, step.shielded, step.cautions,
            step.operation.key in view.done, act=_act(svg),
        )  # fmt: skip


def _wrong(step: RebuildStep, pump: Pump, reader: Words) -> str:
    """How what this step puts back must not go in, beside how it does; ``""`` where it can't."""
    operation = next((o for o in pump.strip.operations if o.key == step.key), None)
    return beside(pump, operation, reader=reader) if operation else ""


def _act(svg: str) -> Markup | None:
    return drawing(svg) if svg else None


def _strip_page(
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None
) -> Response:
    view = strip.view(desk, visit_id)
    if view.plan is None or not view.plan.possible:
        raise BadInput(
            Message("There is no strip plan yet: enter the tools to hand on the strip page.")
        )
    base = f"/visits/{visit_id}/strip"
    pictures = pictures_of(view.visit.pump, reader=desk.reader)
    page = StepsPage(
        visit=view.visit,
        screens=tuple(_strip_screens(view, pictures)),
        stock=drawing(pictures.stock),
        gate=gate_view(view.gate, view.visit, desk, f"{base}/steps", again),
        marks=f"{base}/marks",
        back=base,
        onward=f"/visits/{visit_id}/do",
        onward_word=Message("Go on: measure the parts"),
        end_title=Message("Apart"),
        end_lines=(Message("Clean the parts and lay them out in order."), *view.plan.keep),
        job=job_of(view.visit, "strip"),
        end_cautions=cleaning(view.visit.coating),
        tray=drawing(pictures.tray(view.order, [o.key for o in view.order])),
    )
    return render(request, "steps.html", page, title=Message("Strip"), status=_status(again))


def _status(again: RejectedForm | None) -> int:
    return again.bad.status if again and again.bad else 200


@router.get("/visits/{visit_id}/strip/steps")
def strip_steps(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The strip, one step a screen.

    Raises:
        BadInput: there is no plan yet, or none that can be carried out with these tools.
    """
    return _strip_page(request, desk, visit_id)


@router.post("/visits/{visit_id}/strip/steps/make-safe")
def strip_make_safe(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the make-safe list as ticked on the strip's steps."""
    return save_list(
        desk, visit_id, typed, back=f"/visits/{visit_id}/strip/steps",
        page=lambda again: _strip_page(request, desk, visit_id, again),
    )  # fmt: skip


def _rebuild_page(
    request: Request, desk: Desk, visit_id: str, again: RejectedForm | None = None
) -> Response:
    view = rebuild.view(desk, visit_id)
    if view.plan is None or not view.plan.possible:
        raise BadInput(
            Message("There is no rebuild plan yet: enter the tools to hand on the strip page.")
        )
    base = f"/visits/{visit_id}/rebuild"
    pictures = pictures_of(view.visit.pump, reader=desk.reader)
    page = StepsPage(
        visit=view.visit,
        screens=tuple(_rebuild_screens(view, desk.reader, pictures)),
        stock=drawing(pictures.stock),
        gate=gate_view(view.gate, view.visit, desk, f"{base}/steps", again),
        marks=f"{base}/marks",
        back=base,
        onward=f"/visits/{visit_id}/do",
        onward_word=Message("Go on: prove it"),
        end_title=Message("Together"),
        end_lines=view.plan.afterwards,
        job=job_of(view.visit, "rebuild"),
        tray=drawing(pictures.tray(view.laid, view.apart, view.coming)),
    )
    return render(request, "steps.html", page, title=Message("Rebuild"), status=_status(again))


@router.get("/visits/{visit_id}/rebuild/steps")
def rebuild_steps(request: Request, desk: AtDesk, visit_id: VisitId) -> Response:
    """The rebuild, one step a screen.

    Raises:
        BadInput: there is no plan yet, or none that can be carried out with these tools.
    """
    return _rebuild_page(request, desk, visit_id)


@router.post("/visits/{visit_id}/rebuild/steps/make-safe")
def rebuild_make_safe(request: Request, desk: AtDesk, visit_id: VisitId, typed: Sent) -> Response:
    """Save the make-safe list as ticked on the rebuild's steps."""
    return save_list(
        desk, visit_id, typed, back=f"/visits/{visit_id}/rebuild/steps",
        page=lambda again: _rebuild_page(request, desk, visit_id, again),
    )  # fmt: skip


def _rebuild_screens(
    view: rebuild.RebuildView, reader: Words, pictures: ActPictures
) -> Iterator[Screen]:
    steps = view.plan.steps if view.plan else ()
    drawn = pictures.rebuild_steps([(step.key, step.title, step.used) for step in steps])
    for step, svg in zip(steps, drawn, strict=True):
        yield Screen(
            step.number, step.key, step.title, step.how, step.turn_to, step.tools,
            step.stand_ins, step.shielded, step.cautions, step.key in view.done, step.notes,
            step.check, step.torque, step.lever, step.pull, _picture(step, view, reader),
            _act(svg), _act(_wrong(step, view.visit.pump, reader)),
            f"/visits/{view.visit.id}/do/prove/solvent" if step.key == SOLVENT_STEP else "",
        )  # fmt: skip


def _picture(step: RebuildStep, view: rebuild.RebuildView, reader: Words) -> Markup | None:
    """The drawing beside a step, where there is one."""
    svg = picture_of(step, view, reader)
    return drawing(svg) if svg else None


def picture_of(step: RebuildStep, view: rebuild.RebuildView, reader: Words) -> str:
    """A step's drawing as SVG, or ``""``."""
    pump, fit = view.visit.pump, view.fit
    if step.picture in ("static-packings", "moving-packings"):
        return packing_set.section(pump, step.picture, reader=reader)
    if fit is None:
        return ""
    if step.picture == "stack":
        return stack.section(fit, pump, reader=reader)
    if step.picture == "clock":
        return clock.face(
            fit.stop_angle, fit.spread.low, fit.spread.high, fit.target,
            pump.stack.target_within, set_by_hand=fit.turns_freely, reader=reader,
        )  # fmt: skip
    return ""
