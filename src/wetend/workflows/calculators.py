"""Calculators by name, for the pages and the command line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from wetend.advice.calculators.calculator import (
    Calculation,
    Calculator,
    calculate,
    described,
)
from wetend.advice.calculators.catalogue import all_calculators, find_calculator
from wetend.advice.calculators.filled import FILLED, Filling, from_pump
from wetend.advice.reasons import Working
from wetend.errors import NoAnswer, NotFound
from wetend.pump.coating import Coating
from wetend.pump.guesses import GUESS_WORDS
from wetend.pump.toml import demo_coatings
from wetend.records.entries import said_by
from wetend.units.fields import Field
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.parse import to_unit
from wetend.workflows.desk import Desk

_LOOKED_THROUGH = 200
"""Coatings chosen on visits that are looked through."""


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


@dataclass(frozen=True)
class Filled:
    """Inputs for a calculator from a pump and its coating."""

    inputs: Filling
    pump: str
    coating: str
    guesses: tuple[str, ...]
    """What of the pump's description they hang on that is guessed."""


def coatings_of(desk: Desk) -> tuple[Coating, ...]:
    """Coatings to fill a calculator from: those chosen on visits last, then the examples."""
    seen: dict[str, Coating] = {}
    for entry in reversed(desk.depot.entries(kinds=("coating",))[-_LOOKED_THROUGH:]):
        noun = said_by(entry)
        if isinstance(noun, Coating):
            seen.setdefault(noun.key, noun)
    return tuple((seen | {c.key: seen.get(c.key, c) for c in demo_coatings()}).values())


def filled(desk: Desk, name: str, pump_key: str, coating_key: str = "") -> Filled:
    """What a pump and a coating say of a calculator's inputs.

    Without a coating, the one chosen last is taken.

    Raises:
        NotFound: there is no such pump or coating.
        NoAnswer: they say nothing of this calculator, or the coating no viscosity.
    """
    if name not in FILLED:
        raise NoAnswer(Message("A pump and a coating say nothing of these inputs."))
    pump, known = desk.pump(pump_key), coatings_of(desk)
    coating = next((c for c in known if not coating_key or c.key == coating_key), None)
    if coating is None:
        raise NotFound(Message("There is no coating “{key}”.", key=coating_key[:60]))
    inputs, guesses = from_pump(name, pump, coating)
    return Filled(inputs, pump.name, coating.name, tuple(GUESS_WORDS[g] for g in guesses))


def texts_of(name: str, inputs: Filling) -> dict[str, str]:
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
