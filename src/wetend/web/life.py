"""Remaining life of a pump's parts, and the forms for its use and for parts fitted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.life.next_repack import NextRepack
from wetend.drawings import life as drawn
from wetend.drawings.failing import failing
from wetend.errors import BadInput, NotFound
from wetend.pump.costs import Costs
from wetend.pump.description import Pump
from wetend.pump.usage import (
    FITTED_WORDS,
    LIFE_PARTS,
    PART_WORDS,
    LifePart,
    NozzleMeasured,
    PartFitted,
    Usage,
)
from wetend.records.entries import Entry, said_by
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.web.access import AtDesk, PumpKey, Sent
from wetend.web.form_data import Texts, Typed, own_of, query_texts, read_noun
from wetend.web.forms import Form, FormSpec, Section, ask, default_texts, sentence, texts_of
from wetend.web.pages import drawing, go, render
from wetend.web.stage import RejectedForm, form_for
from wetend.workflows import life as workflow
from wetend.workflows import record
from wetend.workflows.desk import Desk

router = APIRouter()
PARTS: dict[str, str] = {part: sentence(words) for part, words in PART_WORDS.items()}
PLOT_FIELD = "plot"
BOXES = {"usage": "use-box", "part-fitted": "fitted-box", "nozzle": "nozzle-box"}
"""Where on the page what is entered of each kind stands."""
USE = FormSpec(
    Usage,
    key="use",
    submit=Message("Save this use"),
    leave_out=frozenset({"brought_in"}),
    hints={
        "cycles": Message("From the counter"),
        "coating": Message("Its key; the pump's last one if blank"),
    },
    sections=(
        Section(
            Message("Another coating or pressure"),
            ("coating", "abrasiveness", "pressure", "note"),
            folded=True,
        ),
    ),
)
FITTED = FormSpec(
    PartFitted,
    key="fitted",
    submit=Message("Save parts fitted"),
    choices={
        "part": {part: sentence(words) for part, words in FITTED_WORDS.items()},
        "done": {
            "new": Message("Fitted new"),
            "turned": Message("Turned to its fresh face or end"),
        },
    },
    long=frozenset({"part", "why"}),
    leave_out=frozenset({"brought_in"}),
)
NOZZLE = FormSpec(NozzleMeasured, key="nozzle", submit=Message("Save the measurement"))
COSTS = FormSpec(Costs, key="costs", submit=Message("Calculate with these costs"))


@dataclass(frozen=True)
class LifePage:
    """A pump's life page: answers, drawings and the forms."""

    stage: workflow.LifeView
    bars: Markup
    plot: Markup
    curve: Markup
    """The chance that the part chosen has failed, from today on."""
    plots: tuple[tuple[str, str], ...]
    """Parts to choose the plot of: key and words."""
    plotted: str
    use: Form
    fitted: Form
    nozzle: Form
    costs: Form
    open_anyway: tuple[str, ...]
    corrects: Entry | None
    """The entry that is being corrected."""


@dataclass(frozen=True)
class LifeSummary:
    """What a pump's own page says of remaining life."""

    bars: Markup
    repack: NextRepack | None


def life_summary(desk: Desk, pump: Pump) -> LifeSummary:
    """Remaining life at a glance, for the pump's page."""
    view = workflow.life_summary(desk, pump.key)
    return LifeSummary(drawing(drawn.bars(view.parts, reader=desk.reader)), view.repack)


def costs_of(texts: Texts, desk: Desk) -> tuple[Costs, BadInput | None]:
    """Costs as the address gives them; the built-in ones where they can't be read."""
    own, system = own_of(texts, Costs, desk.system)
    try:
        return read_noun(Costs, own, system), None
    except BadInput as bad:
        return Costs(), bad


def costs_form(action: str, texts: Texts, costs: Costs, bad: BadInput | None, desk: Desk) -> Form:
    """The form of costs, showing what was typed or what holds."""
    shown = {**default_texts(Costs, desk.system), **texts_of(costs, desk.system)}
    if bad:
        shown |= {n: t for n, t in texts.items() if n in Costs.model_fields}
    return ask(COSTS, action, shown, system=desk.system, problems=bad.problems if bad else ())


def _plotted(texts: Texts) -> LifePart:
    name = texts.get(PLOT_FIELD, ("",))[-1]
    return next((part for part in LIFE_PARTS if part == name), "moving-packings")


def _page(request: Request, desk: Desk, key: str, again: RejectedForm | None = None) -> Response:
    texts = query_texts(request) if request.method == "GET" else {}
    costs, bad = costs_of(texts, desk)
    plotted = _plotted(texts)
    view = workflow.view(desk, key, costs=costs, plotted=plotted)
    here = f"/pumps/{key}/life"
    corrects = _corrected(request, desk, key)
    noun, kind = (said_by(corrects), corrects.kind) if corrects else (None, "")

    def form(asked: FormSpec, of_kind: str, path: str) -> Form:
        own = kind == of_kind
        action = f"{here}/{path}?correct={corrects.id}" if corrects and own else f"{here}/{path}"
        kept = noun if own and isinstance(noun, Noun) else None
        return form_for(asked, action, kept, again, system=desk.system)

    page = LifePage(
        stage=view,
        bars=drawing(drawn.bars(view.parts, reader=desk.reader)),
        plot=drawing(drawn.probability(view.plot, reader=desk.reader)),
        curve=_curve(view, plotted, desk),
        plots=tuple(PARTS.items()),
        plotted=plotted,
        use=form(USE, "usage", "use"),
        fitted=form(FITTED, "part-fitted", "fitted"),
        nozzle=form(NOZZLE, "nozzle", "nozzle"),
        costs=costs_form(here, texts, costs, bad, desk),
        open_anyway=tuple(PART_WORDS[p] for p in view.open_anyway),
        corrects=corrects,
    )
    wrong = bad or (again.bad if again else None)
    return render(request, "life.html", page, title=Message("Life of {name}", name=view.pump.name),
                  status=wrong.status if wrong else 200)  # fmt: skip


def _curve(view: workflow.LifeView, part: LifePart, desk: Desk) -> Markup:
    ahead = view.outlooks.get(part)
    if ahead is None:
        return Markup("")
    best = view.best_on.get(part)
    return drawing(failing(ahead, PARTS[part], best=best, reader=desk.reader))


@router.get("/pumps/{key}/life")
def show(request: Request, desk: AtDesk, key: PumpKey) -> Response:
    """What is left of every part, when to replace it, and what would change it."""
    return _page(request, desk, key)


def _corrected(request: Request, desk: Desk, key: str) -> Entry | None:
    """The entry that the address names to be corrected.

    Raises:
        NotFound: there is no such entry of this pump, or of none of the kinds corrected here.
    """
    named = request.query_params.get("correct", "")
    if not named:
        return None
    entry = record.find(record.of_pump(desk, key), named)
    if entry.kind not in BOXES or entry.visit is not None:
        raise NotFound(Message("That entry can't be corrected here; the record shows where."))
    return entry


def _keep(
    request: Request, desk: Desk, key: str, typed: Typed, asked: FormSpec,
    save: Callable[..., Entry],
) -> Response:  # fmt: skip
    """Save what one of the page's forms says, or show it again with what is wrong."""
    corrects = _corrected(request, desk, key)
    try:
        said = read_noun(asked.noun, typed.own, typed.system)
        kept = save(desk, key, said, corrects=corrects.id if corrects else None)
    except BadInput as bad:
        return _page(request, desk, key, RejectedForm(asked.key, typed, bad))
    if corrects:
        at = kept.id[-8:]
        return go(f"/pumps/{key}/record?at={at}", saved="1", anchor=f"e-{at}")
    return go(f"/pumps/{key}/life", saved="1")


@router.post("/pumps/{key}/life/use")
def keep_use(request: Request, desk: AtDesk, key: PumpKey, typed: Sent) -> Response:
    """Save what the pump did over some days."""
    return _keep(request, desk, key, typed, USE, workflow.save_usage)


@router.post("/pumps/{key}/life/fitted")
def keep_fitted(request: Request, desk: AtDesk, key: PumpKey, typed: Sent) -> Response:
    """Save that a part was fitted."""
    return _keep(request, desk, key, typed, FITTED, workflow.save_fitted)


@router.post("/pumps/{key}/life/nozzle")
def keep_nozzle(request: Request, desk: AtDesk, key: PumpKey, typed: Sent) -> Response:
    """Save how far a nozzle was found to be worn."""
    return _keep(request, desk, key, typed, NOZZLE, workflow.save_nozzle)
