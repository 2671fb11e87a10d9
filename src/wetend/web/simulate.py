"""Simulation of a pump beside a sound one: animated section and traces, at a shareable address."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.drawings import traces
from wetend.drawings.ink import standalone
from wetend.drawings.wet_end import motion as wet_end_motion
from wetend.errors import BadInput, NoAnswer, NotFound
from wetend.pump.simulation import GUN_WORDS, SimulationRequest
from wetend.units.kinds import System
from wetend.units.message import Message, Words, joined
from wetend.web.access import AtDesk
from wetend.web.animation import Reel, reel_of
from wetend.web.form_data import UNITS_FIELD, Texts, clean, read_noun
from wetend.web.forms import Form, FormSpec, Section, ask, default_texts, sentence
from wetend.web.pages import drawing, render
from wetend.web.ready import BackgroundLoader
from wetend.workflows.desk import Desk

if TYPE_CHECKING:
    from wetend.workflows.simulate import SimulateView, SizeOfFault

router = APIRouter()
MODEL = BackgroundLoader("wetend.workflows.simulate")
"""The model and its workflow, loaded in the background."""
PATIENCE = 2.0
"""Seconds a page waits for the model; then it says that it comes."""


@dataclass(frozen=True)
class Traced:
    """One set of traces."""

    title: str
    svg: Markup


@dataclass(frozen=True)
class SimulatePage:
    """The page of a pump in motion."""

    form: Form
    seen: SimulateView | None
    moving: Reel | None
    strip: Markup
    traces: tuple[Traced, ...]
    query: str
    sizes: tuple[SizeOfFault, ...]
    no_answer: str
    waiting: bool


def _texts_of(request: Request) -> Texts:
    """Texts by name as the address gives them; the last one counts."""
    return {clean(name): (clean(value),) for name, value in request.query_params.multi_items()}


def _asked(desk: Desk, model: Any) -> FormSpec:
    titles = {name: sentence(title) for name, title in model.FAULT_TITLES.items()}
    return FormSpec(
        SimulationRequest,
        key="motion",
        submit=Message("Run"),
        choices={
            "pump": model.pump_choices(desk),
            "coating": {c.key: c.name for c in desk.coatings()},
            "fault": titles,
            "also": titles,
            "gun": {name: sentence(text) for name, text in GUN_WORDS.items()},
        },
        sections=(
            Section(Message("Pump, coating and fault"), ("pump", "coating", "fault", "size")),
            Section(Message("A second fault at once"), ("also", "also_size"), folded=True),
            Section(Message("Gun and cycles"), ("gun", "cycles")),
        ),
        long=frozenset({"pump", "coating", "gun"}),
    )


def _whole(texts: Texts, asked: FormSpec, named: Callable[[str], str], system: System) -> Texts:
    """The texts of the form: as the address gives them, else the first choice or the default."""
    usual: dict[str, tuple[str, ...]] = dict(default_texts(SimulationRequest, system))
    usual |= {name: (next(iter(asked.choices[name]), ""),) for name in ("pump", "coating")}
    given = {n: v for n, v in texts.items() if n in SimulationRequest.model_fields}
    for name in ("fault", "also"):
        if name in given:
            given[name] = (named(given[name][-1]),)
    return {**usual, **{n: v for n, v in given.items() if v[-1].strip() or n.endswith("size")}}


def _system(texts: Texts, desk: Desk) -> System:
    said = texts.get(UNITS_FIELD, ("",))[-1]
    return "imperial" if said == "imperial" else "metric" if said == "metric" else desk.system


@dataclass(frozen=True)
class _Answer:
    """What an address asks, as far as it can be answered."""

    form: Form
    seen: SimulateView | None
    no_answer: str
    sizes: tuple[SizeOfFault, ...]
    status: int


def _answer(request: Request, desk: Desk, model: Any) -> _Answer:
    texts = _texts_of(request)
    system = _system(texts, desk)
    asked = _asked(desk, model)
    whole = _whole(texts, asked, model.fault_named, system)
    seen, bad, no_answer = None, None, ""
    try:
        seen = model.view(desk, read_noun(SimulationRequest, whole, system), system=system)
    except BadInput as error:
        bad = error
    except (NoAnswer, NotFound) as error:
        no_answer = str(error)
    form = ask(
        asked, "/simulate", whole, system=system, problems=bad.problems if bad else ()
    )  # fmt: skip
    if bad and not form.faults:
        no_answer = str(bad)
    return _Answer(form, seen, no_answer, model.sizes(), 422 if not seen else 200)


def _drawn(view: SimulateView, reader: Words) -> tuple[Markup, tuple[Traced, ...]]:
    films = (view.this, view.sound)
    stills = [(each.name, each.time) for each in view.instants]
    return (
        drawing(wet_end_motion.strip(view.pump, *films, stills, reader=reader)),
        tuple(
            Traced(title, drawing(traces.panels(title, *films, keys, reader=reader, moving=True)))
            for title, keys in traces.GROUPS.items()
        ),
    )


def _waiting(request: Request, desk: Desk) -> Response:
    form = ask(FormSpec(SimulationRequest, key="motion"), "/simulate", {}, system=desk.system)
    page = SimulatePage(form, None, None, Markup(), (), "", (), "", waiting=True)
    response = render(request, "simulate.html", page, title=Message("Pump in motion"), status=200)
    response.headers["Refresh"] = "2"
    return response


def _model() -> Any:
    try:
        return MODEL.wait(PATIENCE)
    except ImportError as error:
        raise NoAnswer(Message("The simulation can't be loaded here.")) from error


@router.get("/simulate")
def show(request: Request, desk: AtDesk) -> Response:
    """A pump in motion, its fault in it, beside a sound one."""
    model = _model()
    if model is None:
        return _waiting(request, desk)
    answer = _answer(request, desk, model)
    moving, strip = None, Markup()
    traced: tuple[Traced, ...] = ()
    if answer.seen:
        strip, traced = _drawn(answer.seen, desk.reader)
        moving = reel_of(answer.seen.pump, answer.seen.this, answer.seen.sound, desk.reader)
    page = SimulatePage(
        form=answer.form,
        seen=answer.seen,
        moving=moving,
        strip=strip,
        traces=traced,
        query=urlencode(list(request.query_params.multi_items())),
        sizes=answer.sizes,
        no_answer=answer.no_answer,
        waiting=False,
    )
    return render(
        request, "simulate.html", page, title=Message("Pump in motion"), status=answer.status
    )


def _seen(request: Request, desk: Desk) -> SimulateView:
    """What an address asks, simulated.

    Raises:
        BadInput: it can't be read.
        NoAnswer: there is no answer, or none yet.
    """
    model = _model()
    if model is None:
        raise NoAnswer(Message("The simulation is being prepared; try again in a few seconds."))
    answer = _answer(request, desk, model)
    if answer.seen is None:
        faults = answer.no_answer or joined(" ", (faults for _, faults in answer.form.faults))
        raise NoAnswer(faults)
    return answer.seen


def _file(content: str, kind: str, name: str) -> Response:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(content, media_type=kind, headers=headers)


@router.get("/simulate.csv")
def table(request: Request, desk: AtDesk) -> Response:
    """The traces as a table, SI."""
    seen = _seen(request, desk)
    model: Any = _model()
    return _file(model.as_csv(seen), "text/csv; charset=utf-8", f"{seen.pump.key}-motion.csv")


@router.get("/simulate.svg")
def picture(request: Request, desk: AtDesk) -> Response:
    """All traces as one drawing."""
    seen = _seen(request, desk)
    keys = tuple(key for group in traces.GROUPS.values() for key in group)
    title = Message(
        "{name}: {value}",
        name=seen.pump.name,
        value=joined(", ", seen.faults) or Message("no fault"),
    )
    svg = traces.panels(title, seen.this, seen.sound, keys, reader=desk.reader)
    return _file(standalone(svg), "image/svg+xml", f"{seen.pump.key}-motion.svg")
