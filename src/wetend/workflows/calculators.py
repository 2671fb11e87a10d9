"""Calculators by name, for the pages and the command line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from wetend.advice.calculators.calculator import (
    Calculation,
    Calculator,
    calculate,
    described,
)
from wetend.advice.calculators.catalogue import all_calculators, find_calculator
from wetend.advice.calculators.response import DOUBT, WARMTH, Response, response_of
from wetend.advice.reasons import Working
from wetend.drawings.chart import Axis, Chart, chart
from wetend.drawings.words import AS_WRITTEN
from wetend.units.fields import Field
from wetend.units.kinds import System
from wetend.units.message import Message, Words
from wetend.units.parse import to_unit
from wetend.units.show import show, significant


def run(
    name: str, typed: Mapping[str, str | Sequence[str]], *, system: System | None = None
) -> Calculation:
    """Run the calculator so named on typed text.

    Raises:
        UnknownName: no such calculator.
        BadInput: a field can't be read or is out of range.
    """
    return calculate(find_calculator(name), typed, system=system)


def catalogue() -> list[dict[str, Any]]:
    """Every calculator with its fields, units and source, ready for JSON."""
    return [described(c) for c in all_calculators()]


def texts_of(name: str, inputs: Mapping[str, float | str | tuple[float, ...]]) -> dict[str, str]:
    """Inputs as they are typed, SI with their units, for a form, an address or a command."""
    known = {f.name: f for f in find_calculator(name).fields}
    return {n: _typed(v, known[n]) for n, v in inputs.items() if n in known}


def _typed(value: float | str | tuple[float, ...], field: Field) -> str:
    if isinstance(value, tuple):
        return ", ".join(_typed(v, field) for v in value)
    if isinstance(value, str) or field.unit is None:
        return str(value)
    unit = field.unit.metric
    return (
        f"{to_unit(float(value), field.unit.kind, unit):.7g} {'' if unit == '1' else unit}".strip()
    )


def response(done: Calculation) -> Response | None:
    """How the first answer moves with the number that matters most."""
    return response_of(done)


def drawn(found: Response, done: Calculation, reader: Words = AS_WRITTEN) -> str:
    """The chart of a response, for screen, print and file."""
    out = done.calculator.outputs[found.output]
    title = Message("{answer} over {name}", answer=out.label, name=found.field.label)
    return chart(
        Chart(title, Axis(found.field.label, found.field.unit), Axis(out.label, out.unit),
              found.points, (found.x, found.y), found.spread),
        reader=reader,
    )  # fmt: skip


def spread_text(found: Response, done: Calculation, system: System) -> str:
    """How far an answer is to trust, in a sentence."""
    out = done.calculator.outputs[found.output]
    off = show(found.spread, out.unit, system) if out.unit else significant(found.spread, 2)
    return Message(
        "With every number {doubt:.0%} off (standard; temperatures {warmth:.0f} K): ± {off}, the "
        "band of the chart.", doubt=DOUBT, warmth=WARMTH, off=off,
    )  # fmt: skip


def response_json(found: Response | None, done: Calculation) -> dict[str, Any] | None:
    """A response ready for JSON, SI."""
    if found is None:
        return None
    return {"output": found.output, "field": found.field.name, "points": found.points,
            "spread": found.spread,
            "moves": {field.name: share for field, share in found.moves},
            "calculator": done.calculator.name}  # fmt: skip


def of_working(working: Working) -> dict[str, str]:
    """A working's numbers as its calculator is typed them; empty where it has none."""
    return texts_of(working.calculator, dict(working.inputs)) if working.calculator else {}


def names() -> tuple[str, ...]:
    """Names of all calculators."""
    return tuple(c.name for c in all_calculators())


def find(name: str) -> Calculator:
    """The calculator so named.

    Raises:
        UnknownName: no such calculator.
    """
    return find_calculator(name)
