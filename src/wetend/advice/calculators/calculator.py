"""What a calculator is: an input noun, outputs with units, a formula and its source."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from wetend.advice.reasons import Caution
from wetend.advice.safety.hazards import for_screen
from wetend.errors import NoAnswer
from wetend.units.fields import Field, fields_of, read
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import Unit

Value = float | str | tuple[float, ...]


@dataclass(frozen=True)
class Output:
    """One output field: its unit (``None`` for text) and what it means."""

    unit: Unit | None
    label: str


@dataclass(frozen=True)
class Outcome:
    """What came out, in SI, with cautions that this very input calls for."""

    values: Mapping[str, Value]
    cautions: tuple[str, ...] = ()
    """What to know of these figures."""
    validity: str = ""
    """Narrower than the calculator's own, where this input makes it so."""
    warns: tuple[Caution, ...] = ()
    """What can hurt, with these very figures."""


@dataclass(frozen=True)
class Calculator:
    """A formula on its own, for command line, page and teaching."""

    name: str
    title: str
    inputs: type[Noun]
    outputs: Mapping[str, Output]
    compute: Callable[[Any], Outcome]
    formula: str
    source: str
    validity: str
    cautions: tuple[str, ...] = ()
    """What to know of its figures, whatever they are."""
    warns: tuple[Caution, ...] = ()
    """What can hurt in the act that its figures are taken by or put to; none for a mere sum."""
    example: Mapping[str, str] = field(default_factory=dict)
    """Typed input that runs, for help, page and test."""

    @property
    def fields(self) -> tuple[Field, ...]:
        """Input fields in order."""
        return fields_of(self.inputs)


@dataclass(frozen=True)
class Calculation:
    """One calculator run on one input."""

    calculator: Calculator
    inputs: Noun
    outcome: Outcome

    @property
    def validity(self) -> str:
        """Where the answer holds."""
        return self.outcome.validity or self.calculator.validity

    @property
    def warns(self) -> tuple[Caution, ...]:
        """What can hurt, one a hazard; with these very figures where they say it better."""
        return for_screen(*self.outcome.warns, *self.calculator.warns)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to know of the figures, the calculator's own first."""
        return (*self.calculator.cautions, *self.outcome.cautions)

    def as_json(self) -> dict[str, Any]:
        """The published JSON shape: name, inputs, outputs with SI units, source, validity."""
        outputs = self.calculator.outputs
        return {
            "name": self.calculator.name,
            "inputs": self.inputs.model_dump(mode="json", exclude_none=True),
            "outputs": {
                name: {
                    "value": value,
                    "unit": unit.kind.si if (unit := outputs[name].unit) else "",
                }
                for name, value in self.outcome.values.items()
            },
            "source": self.calculator.source,
            "validity": self.validity,
            "cautions": [*(c.text for c in self.warns), *self.cautions],
        }


def calculate(
    calculator: Calculator,
    typed: Mapping[str, str | Sequence[str]],
    *,
    system: System | None = None,
) -> Calculation:
    """Run a calculator on typed text.

    Raises:
        BadInput: a field can't be read or is out of range.
        NoAnswer: the formula has no answer for this input, or none that is finite.
    """
    inputs = read(calculator.inputs, typed, system=system)
    outcome = calculator.compute(inputs)
    for name, value in outcome.values.items():
        numbers = value if isinstance(value, tuple) else (value,)
        if not all(isinstance(v, str) or math.isfinite(v) for v in numbers):
            label = calculator.outputs[name].label
            raise NoAnswer(Message("“{label}” is out of range: check the inputs.", label=label))
    return Calculation(calculator, inputs, outcome)


def described(calculator: Calculator) -> dict[str, Any]:
    """A calculator's entry in the list: fields, units and source, ready for JSON."""
    return {
        "name": calculator.name,
        "title": calculator.title,
        "fields": [
            {
                "name": f.name,
                "unit": f.unit.kind.si if f.unit else "",
                "required": f.required,
                "many": f.many,
                "choices": list(f.choices),
                "hint": f.hint,
            }
            for f in calculator.fields
        ],
        "outputs": {
            name: {"unit": out.unit.kind.si if out.unit else "", "label": out.label}
            for name, out in calculator.outputs.items()
        },
        "formula": calculator.formula,
        "source": calculator.source,
        "validity": calculator.validity,
        "cautions": [*(c.text for c in calculator.warns), *calculator.cautions],
        "example": dict(calculator.example),
    }
