"""Every calculator runs its own example, tells its units and can be listed."""

from __future__ import annotations

import json
import math

import pytest

from wetend.advice.calculators.calculator import Calculator, calculate, described
from wetend.advice.calculators.catalogue import CALCULATORS, find_calculator
from wetend.errors import UnknownName

EVERY = pytest.mark.parametrize("calculator", CALCULATORS, ids=[c.name for c in CALCULATORS])


@EVERY
def test_example_gives_every_output_it_promises(calculator: Calculator) -> None:
    shown = calculate(calculator, calculator.example).as_json()
    assert json.loads(json.dumps(shown, allow_nan=False))["name"] == calculator.name
    assert set(shown["outputs"]) <= set(calculator.outputs)
    for name, output in shown["outputs"].items():
        unit = calculator.outputs[name].unit
        assert output["unit"] == (unit.kind.si if unit else "")
        if isinstance(output["value"], float):
            assert math.isfinite(output["value"])


@EVERY
def test_each_says_its_formula_source_and_validity(calculator: Calculator) -> None:
    told = described(calculator)
    assert json.dumps(told)
    assert calculator.formula
    assert calculator.source
    assert calculator.validity
    assert calculator.title
    assert {f["name"] for f in told["fields"]} >= set(calculator.example)


def test_names_are_distinct_and_unknown_ones_are_refused_with_the_list() -> None:
    names = [c.name for c in CALCULATORS]
    assert len(set(names)) == len(names)
    with pytest.raises(UnknownName, match="gap-leak"):
        find_calculator("no-such")
