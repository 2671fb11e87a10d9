"""Describes a pump in ten answers: the rest is scaled and marked as guessed, and all is drawn."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.handover.duty import stall_at
from wetend.advice.ratings import weakest
from wetend.advice.reasons import Verdict
from wetend.drawings.wet_end import section as wet_end
from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.guesses import GUESS_WORDS
from wetend.pump.parts import Guessable
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.quantity import M3, Pa
from wetend.web.access import AtDesk, Sent
from wetend.web.form_data import Texts, own_of, query_texts, read_noun
from wetend.web.forms import Form, FormSpec, Section, ask, problems_of, texts_of
from wetend.web.pages import drawing, go, render
from wetend.workflows import pumps as workflow
from wetend.workflows.desk import Desk

router = APIRouter()
HELD = {
    "quay-air": Message("Screwed into the cylinder"),
    "yard-hydraulic": Message("Held by a clamp ring"),
}
"""Kinds of foot valve, by the example pump that has it."""
DRAW_FIELD = "draw"
_RATINGS = ("supply_rated", "outlet_pressure", "hose_rated", "filter_rated", "nozzle_rated")
_ANSWERS = (
    ("name", "site"), ("like",), ("bore",), ("rod",), ("stroke",), ("drive",), ("ratio",),
    ("hose_bore", "hose_length"), ("orifice",), _RATINGS,
)  # fmt: skip
"""The ten answers, each with its boxes."""


@dataclass(frozen=True)
class Drawn:
    """The pump as answered so far, drawn; what is not answered yet is drawn as the pump like it."""

    section: Markup
    answered: int
    volume: M3
    """What a cycle delivers."""
    stall: Pa | None
    """Outlet pressure at stall with the supply at its most; ``None`` until that is answered."""
    weakest: tuple[Pa, str] | None
    """The lowest rating, and its part; ``None`` until all are answered."""


@dataclass(frozen=True)
class TenPage:
    """The ten answers, and what they make."""

    form: Form
    drawn: Drawn
    like: str
    """Name of the depot's pump that it starts from; blank: from scratch."""
    alike: tuple[tuple[str, str], ...]
    """The depot's pumps to start from: address and name."""
    guessed: tuple[str, ...]
    draw_field: str = DRAW_FIELD


@dataclass(frozen=True)
class DrawnPage:
    """What the answers make, without the form: what the page's script asks for."""

    drawn: Drawn


def _spec(desk: Desk, like: str) -> FormSpec:
    own = {pump.key: pump.name for pump in workflow.described(desk)}
    held = HELD | ({like: Message("As {name}", name=own[like])} if like in own else {})
    return FormSpec(
        workflow.NewPump,
        key="ten",
        submit=Message("Save this pump"),
        choices={"like": held},
        labels={"name": Message("What it is called"), "site": Message("Where it stands"),
                "like": Message("Foot-valve housing"), "ratio": Message("Pressure ratio"),
                "hose_bore": Message("Hose bore"), "hose_length": Message("Hose length"),
                "orifice": Message("Nozzle orifice")},
        hints={"like": "", "bore": "", "rod": "", "site": "", "stroke": "", "hose_length": "",
               "orifice": "", "ratio": Message("Outlet to supply")},
        sections=(
            Section(Message("The pump"), ("name", "site", "like", "bore", "rod", "stroke")),
            Section(Message("Drive, hose and nozzle"),
                    ("drive", "ratio", "hose_bore", "hose_length", "orifice"),
                    how=Message("What you leave blank is guessed, and marked so.")),
            Section(Message("Ratings, read from the plates"), _RATINGS,
                    how=Message("Never guessed. Where a plate can't be read, ask its maker.")),
        ),
    )  # fmt: skip


def _model(desk: Desk, like: str) -> Pump:
    own = next((pump for pump in workflow.described(desk) if pump.key == like), None)
    return own or demo_pump(like if like in DEMO_PUMPS else DEMO_PUMPS[0])


def _of(pump: Pump, desk: Desk, system: System) -> Texts:
    """The answers that describe a pump of the depot, as typed."""
    known = workflow.answers_of(pump, workflow.another_name(desk, pump.name))
    return texts_of(known, system)


def _answered(texts: Texts) -> int:
    """How many of the ten have an answer."""

    def is_answered(name: str) -> bool:
        return bool(texts.get(name, ("",))[-1].strip())

    return sum(any(map(is_answered, names)) if names != _RATINGS else all(map(is_answered, names))
               for names in _ANSWERS)  # fmt: skip


def _read_each(texts: Texts, system: System, model: Pump) -> dict[str, tuple[str, ...]]:
    """The texts that can be read, each by itself; the others as the pump like it has them."""
    usual = texts_of(workflow.answers_of(model, model.name), system)
    kept = dict(usual)
    for name, sent in texts.items():
        if name not in usual and name not in workflow.NewPump.model_fields:
            continue
        if not sent[-1].strip():
            continue
        try:
            read_noun(workflow.NewPump, {**usual, name: sent}, system)
        except BadInput:
            continue
        kept[name] = sent
    return kept


def draw(desk: Desk, texts: Texts, system: System) -> Drawn:
    """What the answers make so far; one that can't be read yet counts as none."""
    model = _model(desk, texts.get("like", ("",))[-1])
    known = read_noun(workflow.NewPump, _read_each(texts, system, model), system)
    try:
        pump = workflow.scaled(model, known)
    except BadInput:  # they make no pump together yet, such as a rod as thick as the bore
        pump = model
    unknown = {
        part: Verdict.MEASURE_AGAIN
        for name, part in (("bore", "cylinder"), ("rod", "rod"))
        if not texts.get(name, ("",))[-1].strip()
    }
    said = {name for name in _RATINGS if texts.get(name, ("",))[-1].strip()}
    supply = pump.drive.supply_rated if "supply_rated" in said else None
    return Drawn(
        drawing(wet_end.section(pump, unknown, reader=desk.reader)),  # type: ignore[arg-type]
        _answered(texts),
        pump.displacement,
        stall_at(pump, supply) if supply is not None else None,
        weakest(pump) if said == set(_RATINGS) else None,
    )


def _page(
    request: Request, desk: Desk, texts: Texts, system: System, *, like: str = "",
    bad: BadInput | None = None,
) -> Response:  # fmt: skip
    form = ask(
        _spec(desk, like or texts.get("like", ("",))[-1]), "/pumps/new/ten", texts,
        system=system, problems=problems_of(bad),
    )  # fmt: skip
    own = {pump.key: pump.name for pump in workflow.described(desk)}
    guessed: tuple[Guessable, ...] = tuple(GUESS_WORDS)
    if like in own:
        guessed = _model(desk, like).guessed
    page = TenPage(
        form, draw(desk, texts, system), own.get(like, ""),
        tuple((f"/pumps/new?{urlencode({'like': key})}", name) for key, name in own.items()),
        tuple(GUESS_WORDS[part] for part in guessed),
    )  # fmt: skip
    return render(request, "ten.html", page, title=Message("Describe a pump"),
                  status=bad.status if bad else 200)  # fmt: skip


@router.get("/pumps/new")
def show(request: Request, desk: AtDesk) -> Response:
    """The ten answers: blank, as in the address, or those of a pump of the depot."""
    texts, system = own_of(query_texts(request), workflow.NewPump, desk.system)
    like = texts.get("like", ("",))[-1]
    own = next((pump for pump in workflow.described(desk) if pump.key == like), None)
    if own is not None and len(texts) == 1:
        return _page(request, desk, _of(own, desk, system), system, like=like)
    begun = texts if like in HELD else {**texts, "like": (DEMO_PUMPS[0],)}
    return _page(request, desk, begun, system)


@router.get("/pumps/new/drawn")
def drawn(request: Request, desk: AtDesk) -> Response:
    """What the answers make, while they are typed."""
    texts, system = own_of(query_texts(request), workflow.NewPump, desk.system)
    view = DrawnPage(draw(desk, texts, system))
    return render(request, "ten-drawn.html", view,
                  title=Message("Describe a pump"))  # fmt: skip


@router.post("/pumps/new/ten")
def save(request: Request, desk: AtDesk, typed: Sent) -> Response:
    """Save a pump described in ten answers, or draw it with what is answered so far."""
    texts: Mapping[str, tuple[str, ...]] = typed.own
    like = texts.get("like", ("",))[-1]
    if typed.last(DRAW_FIELD):
        return _page(request, desk, texts, typed.system, like=like)
    try:
        known = read_noun(workflow.NewPump, texts, typed.system)
        pump = workflow.describe_scaled(desk, _model(desk, like), known)
    except BadInput as bad:
        return _page(request, desk, texts, typed.system, like=like, bad=bad)
    return go(f"/pumps/{pump.key}", saved="pump")
