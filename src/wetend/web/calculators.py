"""Calculator pages; each result is an address that can be shared."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.advice.calculators.calculator import Calculation, Calculator, Value
from wetend.advice.calculators.catalogue import all_calculators, find_calculator
from wetend.advice.reasons import Caution
from wetend.errors import BadInput, NoAnswer, NotFound, UnknownName
from wetend.units.fields import Field, fields_of
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.show import show as shown
from wetend.units.show import significant
from wetend.web.access import AtDesk
from wetend.web.choices import cup_names
from wetend.web.form_data import UNITS_FIELD, Texts, clean
from wetend.web.forms import Form, FormSpec, ask, default_texts, word_for
from wetend.web.pages import render
from wetend.workflows import calculators as workflow

router = APIRouter()


@dataclass(frozen=True)
class CalculatorsPage:
    """The calculators by name."""

    calculators: tuple[Calculator, ...]


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
def listed(request: Request) -> Response:
    """Every calculator."""
    page = CalculatorsPage(all_calculators())
    return render(request, "calculators.html", page, title=Message("Calculators"))


@router.get("/calculators/{name}")
def show(request: Request, desk: AtDesk, name: str) -> Response:
    """One calculator, with its result where the address carries inputs."""
    try:
        calculator = find_calculator(name)
    except UnknownName as unknown:
        raise NotFound(str(unknown)) from unknown
    texts, said = _query(request)
    system = said or desk.system
    asked = FormSpec(calculator.inputs, key="calc", submit=Message("Calculate"), choices=_CHOICES)
    done, bad, no_answer = None, None, ""
    if _typed(texts):
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
    )
    status = 422 if bad or no_answer else 200
    return render(request, "calculator.html", page, title=calculator.title, status=status)
