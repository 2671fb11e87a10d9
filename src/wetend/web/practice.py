"""Practice pages; all state is in the address, so any page can be shared."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.reasons import Verdict
from wetend.drawings.wet_end import section as wet_end
from wetend.errors import BadInput, NoAnswer, NotFound
from wetend.units.message import Message, Words
from wetend.units.quantity import Minutes
from wetend.web.access import AtDesk
from wetend.web.animation import Reel, reel_of
from wetend.web.pages import drawing, go, render
from wetend.web.ready import BackgroundLoader, ahead

if TYPE_CHECKING:
    from wetend.workflows.practice import PracticeStart, PracticeView

router = APIRouter()
MODEL = BackgroundLoader("wetend.workflows.practice")
"""Practice with the model in time, loaded in the background."""
PATIENCE = 2.0
"""Seconds a page waits for it; then it says that it comes."""

GIVE_UP = "show"
"""The move that asks for the truth."""
ONLY_PRACTICE = Message(
    "Practice only. On a real pump each of these checks has its cautions, and "
    "zero is proven before anything is opened."
)


@dataclass(frozen=True)
class StartPage:
    """Choose a pump to practise on, or enter a code."""

    start: PracticeStart | None
    fault: str


@dataclass(frozen=True)
class Choice:
    """A move to make: where its link leads, what it is, its minutes."""

    path: str
    title: str
    minutes: Minutes
    note: str = ""


@dataclass(frozen=True)
class PracticePage:
    """An exercise: moves made, moves possible, and at the end the answer."""

    exercise: PracticeView
    checks: tuple[Choice, ...]
    jobs: tuple[Choice, ...]
    give_up: str
    again: str
    section: Markup | None
    reel: Reel | None
    """This pump in motion beside a sound one, once the truth is shown."""
    motion: str
    """Where the fault is seen in motion; empty before the truth is shown."""
    only: str = ONLY_PRACTICE
    trouble: str = ""
    """Why the debriefing could not be made ready; blank where nothing went wrong."""


def _path(code: str, moves: tuple[str, ...]) -> str:
    query = f"?{urlencode({'did': '.'.join(moves)})}" if moves else ""
    return f"/practice/{code}{query}"


def _section(view: PracticeView, reader: Words) -> Markup | None:
    if view.debrief is None:
        return None
    marked = {p: Verdict.REPLACE for c in view.debrief.causes for p in c.parts}
    return drawing(wet_end.section(view.standing.pump, marked, reader=reader))


def _motion(view: PracticeView) -> str:
    """Address of the pump in motion with up to two of the faults, of typical size."""
    if view.debrief is None:
        return ""
    names = list(dict.fromkeys(cause.motion[0].name for cause in view.debrief.causes))[:2]
    asked = {"pump": view.standing.pump.key, "coating": view.standing.coating.key}
    asked |= dict(zip(("fault", "also"), names, strict=False)) or {"fault": "none"}
    return f"/simulate?{urlencode(asked)}"


def _reel(view: PracticeView, reader: Words) -> Reel | None:
    """The moving section; ``None`` before the truth is shown, or where there is none to show."""
    if view.debrief is None:
        return None
    try:
        this, sound = _model().moving(view.code)
    except NoAnswer:
        return None
    return reel_of(view.standing.pump, this, sound, reader)


def _page(view: PracticeView, moves: tuple[str, ...], reader: Words) -> PracticePage:
    standing, code = view.standing, view.code
    return PracticePage(
        exercise=view,
        checks=tuple(
            Choice(_path(code, (*moves, c.key)), c.title, c.minutes, c.needs)
            for c in standing.checks_left
        ),
        jobs=tuple(
            Choice(_path(code, (*moves, f"open-{j.number}")), j.job.title, j.minutes)
            for j in standing.jobs_left
        ),
        give_up=_path(code, (*moves, GIVE_UP)),
        again=_path(code, ()),
        section=_section(view, reader),
        reel=_reel(view, reader),
        motion=_motion(view),
    )


def _model() -> Any:
    """The workflow of practice, or ``None`` while it is being made ready."""
    try:
        return MODEL.wait(PATIENCE)
    except ImportError as error:
        raise NoAnswer(Message("Practice can't be loaded here.")) from error


def _waiting(request: Request) -> Response:
    response = render(
        request, "practice_start.html", StartPage(None, ""), title=Message("Practice")
    )
    response.headers["Refresh"] = "2"
    return response


def _start(request: Request, model: Any, fault: str = "") -> Response:
    page = StartPage(model.start(), fault)
    status = 422 if fault else 200
    return render(request, "practice_start.html", page, title=Message("Practice"), status=status)


@router.get("/practice")
def start(request: Request, code: str = "") -> Response:
    """Choose a pump to practise on, or go to the one a code stands for."""
    model = _model()
    if model is None:
        return _waiting(request)
    if not code.strip():
        return _start(request, model)
    try:
        return go(f"/practice/{model.read_code(code)}")
    except BadInput as bad:
        return _start(request, model, str(bad))


@router.get("/practice/new")
def new(
    request: Request, pump: str = "", coating: str = "", hidden: str = "draw", size: str = ""
) -> Response:
    """A new exercise: its address, and nothing kept."""
    model = _model()
    if model is None:
        return _waiting(request)
    causes = request.query_params.getlist("cause")
    drawn = hidden == "draw" and not causes  # a fault ticked is a fault set
    try:
        code = model.new_code(pump, coating, None if drawn else causes, size=size)
    except BadInput as bad:
        return _start(request, model, str(bad))
    return go(f"/practice/{code}")


@router.get("/practice/{code}")
def show(request: Request, desk: AtDesk, code: str, did: str = "") -> Response:
    """The exercise after these moves."""
    model = _model()
    if model is None:
        return _waiting(request)
    try:
        model.read_code(code)
    except BadInput as bad:
        raise NotFound(str(bad)) from bad
    moves = model.moves_of(did)
    page = _page(model.view(code, moves), moves, desk.reader)
    own = page.exercise.code
    if page.exercise.debrief is None and not model.is_ready_for(own, moves):
        trouble = ahead(
            ("practice", own, moves), lambda: model.make_ready_for(own, moves),
            title=Message("getting the debriefing ready"), sort="practice",
        )  # fmt: skip
        page = replace(page, trouble=trouble)
    return render(request, "practice.html", page, title=Message("Practice"))
