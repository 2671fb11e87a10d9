"""Lines of hoses as people type them: each answer put back gives what was asked."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput, NoAnswer

LIQUID = {"law": "power-law", "density": "1.42 kg/L", "consistency": "3.2", "index": "0.72"}
HOSES = {**LIQUID, "bores": "12.7 mm, 9.5 mm", "lengths": "15 m, 15 m"}


def run(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


def test_a_line_of_one_hose_is_hose_loss() -> None:
    one = run("line-loss", **LIQUID, bores="9.5 mm", lengths="30 m", flow="2 L/min")
    hose = run("hose-loss", **LIQUID, bore="9.5 mm", length="30 m", flow="2 L/min")
    assert one.outcome.values["pressure_loss"] == pytest.approx(
        hose.outcome.values["pressure_loss"], rel=1e-12
    )


def test_longest_and_smallest_put_back_cost_what_was_allowed() -> None:
    asked = {**LIQUID, "flow": "2 L/min"}
    length = run("longest-hose", **asked, bore="9.5 mm", pressure="60 bar").outcome.values["length"]
    bore = run("smallest-bore", **asked, length="30 m", pressure="40 bar").outcome.values["bore"]
    back = run("hose-loss", **asked, bore="9.5 mm", length=f"{length} m").outcome.values
    assert back["pressure_loss"] == pytest.approx(60e5, rel=1e-6)
    back = run("hose-loss", **asked, bore=f"{bore!r} m", length="30 m").outcome.values
    assert back["pressure_loss"] == pytest.approx(40e5, rel=1e-6)


def test_warmth_needed_and_when_it_is_not() -> None:
    asked = {**HOSES, "flow": "2 L/min", "measured_at": "8 degC"}
    loss = run("line-loss", **HOSES, flow="2 L/min").outcome.values["pressure_loss"]
    cool = run("warmth-needed", **asked, pressure=f"{0.5 * loss} Pa")
    assert 281.15 < cool.outcome.values["temperature"] < 311.15
    assert any("assumed" in c for c in cool.cautions)
    fine = run("warmth-needed", **asked, pressure=f"{2 * loss} Pa")
    assert any("warm enough" in c for c in fine.cautions)
    # power law: the loss is in proportion to the consistency, so 0.5 ten kelvin warmer is 10 K
    known = run("warmth-needed", **asked, pressure=f"{0.5 * loss} Pa", cup_ratio="0.5")
    assert known.outcome.values["temperature"] == pytest.approx(291.15, abs=0.01)


def test_the_nozzle_takes_what_the_pump_gives() -> None:
    pump = {"pump_bore": "38 mm", "stroke": "80 mm", "rate": "40 cycles/min", "slip": "0"}
    out = run("nozzle-to-suit", **HOSES, **pump, pressure="250 bar", spray_pressure="120 bar")
    values = out.outcome.values
    assert values["flow"] == pytest.approx(math.pi / 4 * 0.038**2 * 0.08 * 40 / 60)
    through = run("nozzle-flow", orifice=f"{values['orifice']!r} m", density="1.42 kg/L",
                  pressure=f"{values['nozzle_pressure']!r} Pa").outcome.values  # fmt: skip
    assert through["flow"] == pytest.approx(values["flow"], rel=1e-6)
    growth = (values["nozzle_pressure"] / 120e5) ** 0.25 - 1
    assert values["wear_allowed"] == pytest.approx(growth)
    poor = run("nozzle-to-suit", **HOSES, **pump, pressure="250 bar", spray_pressure="249 bar")
    assert any("smaller nozzle" in c for c in poor.cautions)
    with pytest.raises(NoAnswer, match="none is left"):
        run("nozzle-to-suit", **HOSES, **pump, pressure="1 bar")


def test_what_does_not_match_is_refused_and_what_is_spare_is_said() -> None:
    with pytest.raises(BadInput, match="one length for each bore"):
        run("line-loss", **{**HOSES, "lengths": "15 m"}, flow="2 L/min")
    with pytest.raises(BadInput, match="needs its consistency"):
        run("longest-hose", law="power-law", density="1.42 kg/L", index="0.7", flow="2 L/min",
            bore="9.5 mm", pressure="60 bar")  # fmt: skip
    spare = run("line-loss", **HOSES, viscosity="0.3", flow="2 L/min", pressure="1 bar")
    assert any("viscosity given is not a parameter" in c for c in spare.cautions)
    assert any("more than the pump delivers" in c for c in spare.cautions)
