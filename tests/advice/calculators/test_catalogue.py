"""Every calculator runs its own example, tells its units and can be listed."""

from __future__ import annotations

import importlib
import json
import math

import pytest
from drawn import numbers
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.calculators.calculator import Calculator, calculate, described
from wetend.advice.calculators.catalogue import FAMILIES, all_calculators, find_calculator
from wetend.errors import UnknownName, WetendError
from wetend.units.fields import Field

EVERY = pytest.mark.parametrize(
    "calculator", all_calculators(), ids=[c.name for c in all_calculators()]
)


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
    names = [c.name for c in all_calculators()]
    assert len(set(names)) == len(names)
    with pytest.raises(UnknownName, match="gap-leak"):
        find_calculator("no-such")


TYPED = st.one_of(
    st.text(max_size=12),
    st.floats(-1e9, 1e9).map(str),
    st.floats(1e-9, 10).map(str),
    st.sampled_from(["", "0", "-1", "1e308", "nan", "1/0 mm", "3x2 mm", "200 bar", "45 deg", "1 %",
                     "yes", "up", "left", "newtonian", "iso-6mm", "0.5 mm, 0.25 mm"]),
)  # fmt: skip


def accepted(field: Field) -> st.SearchStrategy[str]:
    """What a field takes, as typed; bare numbers are SI."""
    if field.shape == "choice":
        return st.sampled_from(field.choices)
    if field.shape == "yes-no":
        return st.sampled_from(["yes", "no"])
    if field.shape == "whole":
        return st.integers(int(field.least), int(field.greatest)).map(str)
    if field.shape not in ("quantity", "number"):
        return st.nothing()
    if field.many:
        return st.lists(numbers(field), min_size=1, max_size=6).map(
            lambda row: "; ".join(f"{v:.17g}" for v in row)
            if field.shape == "quantity" else ", ".join(f"{v:.17g}" for v in row))  # fmt: skip
    return numbers(field).map(lambda v: f"{v:.17g}")


def answered(calculator: Calculator, typed: dict[str, str]) -> str:
    """The answer as JSON, or the sentence why there is none."""
    try:
        return json.dumps(calculate(calculator, typed).as_json(), allow_nan=False)
    except WetendError as refused:
        return str(refused)


@EVERY
@costly(12)
@given(data=st.data())
def test_any_numbers_within_their_ranges_give_finite_numbers_or_a_sentence(
    calculator: Calculator, data: st.DataObject
) -> None:
    drawn = {f.name: accepted(f) for f in calculator.fields}
    drawn = {name: way for name, way in drawn.items() if not way.is_empty}
    typed = {**calculator.example, **data.draw(st.fixed_dictionaries({}, optional=drawn))}
    if "consistency" in typed and "index" in typed and "law" not in typed:
        typed.pop("viscosity", None)  # a leak's liquid is given one way
    said = answered(calculator, typed)
    assert said.endswith((".", "}"))


@EVERY
@costly(12)
@given(data=st.data())
def test_whatever_is_typed_gives_finite_numbers_or_a_sentence(
    calculator: Calculator, data: st.DataObject
) -> None:
    names = st.sampled_from([f.name for f in calculator.fields])
    typed = {**calculator.example, **data.draw(st.dictionaries(names, TYPED))}
    try:
        told = calculate(calculator, typed).as_json()
    except WetendError as refused:
        told = {"sentence": str(refused)}
    assert all(told.values() if "sentence" in told else told["outputs"].values())
    assert json.dumps(told, allow_nan=False)


def test_each_family_names_its_own_calculators() -> None:
    for module, names in FAMILIES.items():
        own = importlib.import_module(f"wetend.advice.calculators.{module}").CALCULATORS
        assert tuple(c.name for c in own) == names
