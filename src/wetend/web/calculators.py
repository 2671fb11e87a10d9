"""Calculator pages; each result is an address that can be shared."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Query
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response as Answer

from wetend.advice.calculators.calculator import Calculation, Calculator, Value
from wetend.advice.calculators.catalogue import all_calculators, find_calculator
from wetend.advice.calculators.filled import FILLED
from wetend.advice.calculators.questions import grouped, text_of
from wetend.advice.reasons import Caution
from wetend.errors import BadInput, NoAnswer, NotFound, UnknownName
from wetend.units.fields import Field, fields_of
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.show import chance_text, significant
from wetend.units.show import show as shown
from wetend.web.access import AtDesk
from wetend.web.choices import cup_names
from wetend.web.form_data import UNITS_FIELD, Texts, clean
from wetend.web.forms import Form, FormSpec, ask, default_texts, word_for
from wetend.web.pages import drawing, render
from wetend.workflows import calculators as workflow
from wetend.workflows import filling, pumps
from wetend.workflows.desk import Desk

router = APIRouter()
PUMP_FIELD, COATING_FIELD = "from-pump", "from-coating"


@dataclass(frozen=True)
class CalculatorsPage:
    """The calculators by the question they answer."""

    groups: tuple[tuple[str, tuple[Calculator, ...]], ...]
    words: str
    """What was looked for."""
    texts: dict[str, str]
    """All that each is found by."""


@dataclass(frozen=True)
class Line:
    """One input or result, formatted for reading."""

    label: str
    value: str
    words: bool = False
    """Whether it is words rather than a figure."""


@dataclass(frozen=True)
class CalculatorPage:
    """One calculator: its form, its result, and the working."""

    calculator: Calculator
    form: Form
    example: str
    """Query of the address that shows the example."""
    outputs: tuple[Line, ...]
    inputs: tuple[Line, ...]
    validity: str
    warns: tuple[Caution, ...]
    """What can hurt in the act the figures belong to."""
    remarks: tuple[str, ...]
    """What to know of the figures."""
    no_answer: str
    chart: Markup | None
    """The answer over the number that moves it most."""
    spread: str
    moves: tuple[tuple[str, str], ...]
    """Each number, with how far it moves the answer."""
    fills: FillForm | None


@dataclass(frozen=True)
class FillForm:
    """What a calculator may be filled from, and what it was."""

    pumps: tuple[tuple[str, str], ...]
    coatings: tuple[tuple[str, str], ...]
    pump: str
    coating: str
    said: str


_CHOICES = {"cup": {key: title for key, title in cup_names().items() if key}}


def _said(value: object, field: Field, system: System) -> str:
    """An input, formatted for reading."""
    if isinstance(value, tuple):
        return joined(", ", (_said(v, field, system) for v in value))
    if field.unit is not None and isinstance(value, int | float):
        return shown(float(value), field.unit, system)
    if isinstance(value, bool):
        return Message("yes") if value else Message("no")
    return Message(str(value)) if str(value) in field.choices else str(value)


def _inputs(done: Calculation, system: System) -> tuple[Line, ...]:
    """The inputs that were filled in."""
    given = ((f, getattr(done.inputs, f.name)) for f in fields_of(type(done.inputs)))
    return tuple(
        Line(f.label, _said(value, f, system)) for f, value in given if value not in (None, ())
    )


def _output(value: Value, done: Calculation, name: str, system: System) -> Line:
    out = done.calculator.outputs[name]
    if isinstance(value, str):
        return Line(out.label, word_for(value), words=True)
    if out.unit is None:
        plain = value if isinstance(value, tuple) else (value,)
        return Line(out.label, joined(", ", (significant(v, 5) for v in plain)) or Message("none"))
    if isinstance(value, tuple):
        series = joined(", ", (shown(v, out.unit, system) for v in value)) or Message("none")
        return Line(out.label, series, words=True)
    text = shown(value, out.unit, system)
    return Line(out.label, text)


def _query(request: Request) -> tuple[Texts, System | None]:
    """Texts by name as the address gives them, and the units it says they are in."""
    texts: dict[str, tuple[str, ...]] = {}
    for name, value in request.query_params.multi_items():
        texts[clean(name)] = (*texts.get(clean(name), ()), clean(value))
    units = texts.pop(UNITS_FIELD, ("",))[-1]
    said: System | None = "imperial" if units == "imperial" else "metric" if units else None
    return texts, said


def _typed(texts: Texts) -> dict[str, str]:
    return {name: values[-1] for name, values in texts.items() if values[-1].strip()}


def _example(calculator: Calculator) -> str:
    return urlencode({**calculator.example, UNITS_FIELD: "metric"})


@router.get("/calculators")
def listed(request: Request, q: Annotated[str, Query(max_length=200)] = "") -> Answer:
    """The calculators by the question they answer: all, or those of some words."""
    page = CalculatorsPage(grouped(q), q, {c.name: text_of(c) for c in all_calculators()})
    return render(request, "calculators.html", page, title=Message("Calculators"))


def _fills(desk: Desk, name: str, texts: Texts) -> tuple[FillForm | None, Texts]:
    """The form that fills a calculator, and the texts with what it filled in."""
    if name not in FILLED:
        return None, texts
    key, coating = (texts.get(n, ("",))[-1] for n in (PUMP_FIELD, COATING_FIELD))
    left = {n: t for n, t in texts.items() if n not in (PUMP_FIELD, COATING_FIELD)}
    said = ""
    if key:
        try:
            filled = filling.filled(desk, name, key, coating)
        except (NoAnswer, NotFound) as why:
            said = str(why)
        else:
            left = {n: (t,) for n, t in workflow.texts_of(name, filled.inputs).items()} | left
            said = filled.said
    form = FillForm(
        tuple((line.pump.key, line.pump.name) for line in pumps.list_pumps(desk)),
        tuple((c.key, c.name) for c in filling.coatings_of(desk)), key, coating, said,
    )  # fmt: skip
    return form, left


def _lacks(calculator: Calculator, texts: Texts) -> bool:
    """Whether a required input is still blank: then nothing is computed yet, and nothing wrong."""
    return any(f.required and not texts.get(f.name, ("",))[-1].strip() for f in calculator.fields)


@router.get("/calculators/{name}")
def show(request: Request, desk: AtDesk, name: str) -> Answer:
    """One calculator, with its result where the address carries inputs."""
    try:
        calculator = find_calculator(name)
    except UnknownName as unknown:
        raise NotFound(str(unknown)) from unknown
    texts, said = _query(request)
    system = said or desk.system
    fills, texts = _fills(desk, name, texts)
    asked = FormSpec(calculator.inputs, key="calc", submit=Message("Calculate"), choices=_CHOICES)
    done, bad, no_answer = None, None, ""
    begun = fills is not None and fills.pump and _lacks(calculator, texts)
    if _typed(texts) and not begun:
        try:
            done = workflow.run(name, _typed(texts), system=system)
        except BadInput as error:
            bad = error
        except NoAnswer as error:
            no_answer = str(error)
    shown_texts = {**default_texts(calculator.inputs, system), **texts}
    form = ask(asked, f"/calculators/{name}", shown_texts, system=system,
               problems=bad.problems if bad else ())  # fmt: skip
    if bad and not form.faults:
        no_answer = str(bad)
    values = done.outcome.values if done else {}
    found = workflow.response(done) if done else None
    page = CalculatorPage(
        calculator=calculator,
        form=form,
        example=_example(calculator),
        outputs=tuple(_output(v, done, n, desk.system) for n, v in values.items()) if done else (),
        inputs=_inputs(done, desk.system) if done else (),
        validity=done.validity if done else calculator.validity,
        warns=done.warns if done else calculator.warns,
        remarks=done.cautions if done else calculator.cautions,
        no_answer=no_answer,
        chart=drawing(workflow.drawn(found, done, desk.reader)) if done and found else None,
        spread=workflow.spread_text(found, done, desk.system) if done and found else "",
        moves=tuple((f.label, chance_text(m)) for f, m in found.moves[:5]) if found else (),
        fills=fills,
    )
    status = 422 if bad or no_answer else 200
    return render(request, "calculator.html", page, title=calculator.title, status=status)
