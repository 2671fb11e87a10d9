"""Faults explained: what happens inside at the moment that shows it, beside a sound pump."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULT, FAULTS
from wetend.advice.reasons import Caution
from wetend.drawings.wet_end import inside
from wetend.errors import NoAnswer, NotFound
from wetend.units.message import Message
from wetend.web.access import AtDesk
from wetend.web.pages import drawing, render
from wetend.web.ready import BackgroundLoader

if TYPE_CHECKING:
    from wetend.workflows.fault_inside import InsideView

router = APIRouter()
MODEL = BackgroundLoader("wetend.workflows.fault_inside")
"""The model and its workflow, loaded in the background."""
PATIENCE = 2.0
"""Seconds a page waits for the model; then it says that it comes."""


@dataclass(frozen=True)
class FaultPage:
    """A fault, explained."""

    fault: Fault
    seen: InsideView | None
    drawn: Markup
    signs: tuple[tuple[str, str], ...]
    """What the crew sees of it, and why."""
    cautions: tuple[Caution, ...]
    """Before what is to be looked at first."""
    faults: tuple[Fault, ...]
    pumps: tuple[tuple[str, str], ...]
    """Pumps to show it in: key and name."""
    no_answer: str
    waiting: bool


@dataclass(frozen=True)
class FaultsPage:
    """All faults."""

    faults: tuple[Fault, ...]


def _model() -> Any:
    try:
        return MODEL.wait(PATIENCE)
    except ImportError as error:
        raise NoAnswer(Message("The simulation can't be loaded here.")) from error


@router.get("/faults")
def every(request: Request) -> Response:
    """All faults that the running checks tell apart."""
    return render(request, "faults.html", FaultsPage(FAULTS), title=Message("Faults"))


@router.get("/faults/{fault}")
def show(
    request: Request, desk: AtDesk, fault: str, pump: str = "", coating: str = ""
) -> Response:  # fmt: skip
    """One fault: what happens inside, what is seen of it, what to open first.

    Raises:
        NotFound: no such fault, pump or coating.
    """
    if fault not in FAULT:
        raise NotFound(Message("There is no fault “{key}”.", key=fault[:40]))
    found, model = FAULT[fault], _model()
    seen, no_answer = None, ""
    if model is not None:
        try:
            seen = model.view(desk, fault, pump, coating)
        except NoAnswer as error:
            no_answer = str(error)
    page = FaultPage(
        found, seen,
        drawing(inside.still(seen.pump, seen.this, seen.sound, seen.moment, named=found.short,
                             reader=desk.reader)) if seen else Markup(),
        seen.signs if seen else (), seen.cautions if seen else (),
        FAULTS, tuple(model.pump_choices(desk).items()) if model else (), no_answer,
        waiting=model is None,
    )  # fmt: skip
    response = render(request, "fault-inside.html", page, title=found.title.capitalize())
    if page.waiting:
        response.headers["Refresh"] = "2"
    return response
