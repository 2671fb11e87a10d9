"""A calculator filled from a pump and a coating says what the pump's own pages say."""

from __future__ import annotations

import pytest

from wetend.advice.calculators.calculator import calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.advice.calculators.filled import FILLED, from_pump
from wetend.advice.pump_physics import liquid_of
from wetend.advice.working_point import middle_pressure, working_point
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump
from wetend.workflows.calculators import texts_of


@pytest.mark.parametrize("name", sorted(FILLED))
def test_what_is_filled_in_is_taken_by_the_calculator(name: str) -> None:
    """Of every pump and coating of the demo; what it lacks the example gives."""
    calculator = find_calculator(name)
    for key in DEMO_PUMPS:
        for coating in demo_coatings():
            inputs, _ = from_pump(name, demo_pump(key), coating)
            texts = texts_of(name, inputs)
            assert set(texts) == set(inputs) & {f.name for f in calculator.fields}
            law = {f.name for f in calculator.fields} & {
                "law", "viscosity", "consistency", "index", "yield_stress", "plastic_viscosity",
                "casson_viscosity",
            }  # fmt: skip
            needed = {f.name for f in calculator.fields if f.required} - law
            example = {n: t for n, t in calculator.example.items() if n in needed}
            if "law" in texts or not law:
                assert calculate(calculator, {**example, **texts}, system="metric")


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_line_and_the_nozzle_are_as_the_set_up_sheet_has_them(key: str) -> None:
    pump, coating = demo_pump(key), demo_coatings()[0]
    point = working_point(pump, liquid_of(coating), nozzle_pressure=middle_pressure(coating))
    inputs, _ = from_pump("line-loss", pump, coating)
    done = calculate(find_calculator("line-loss"), texts_of("line-loss", inputs), system="metric")
    assert done.outcome.values["pressure_loss"] == pytest.approx(point.hose_loss, rel=1e-4)
    inputs, _ = from_pump("nozzle-flow", pump, coating)
    done = calculate(find_calculator("nozzle-flow"), texts_of("nozzle-flow", inputs))
    assert done.outcome.values["flow"] == pytest.approx(point.flow, rel=1e-4)


def test_what_of_it_is_a_guess_is_named() -> None:
    guessed = demo_pump("quay-air").model_copy(update={"guessed": ("hose", "stack")})
    assert from_pump("line-loss", guessed, demo_coatings()[0])[1] == ("hose",)
    assert from_pump("coverage", guessed, demo_coatings()[0])[1] == ()
