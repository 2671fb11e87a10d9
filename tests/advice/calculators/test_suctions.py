"""Suction margin and slip as people type them."""

from __future__ import annotations

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput


def run(name: str, **typed: str) -> Calculation:
    return calculate(find_calculator(name), typed)


@pytest.mark.parametrize(
    ("lift", "said"), [("0.5 m", ""), ("6 m", "late"), ("9 m", "boils or parts")]
)
def test_margin_and_what_it_means(lift: str, said: str) -> None:
    out = run("suction-margin", density="1.42 kg/L", lift=lift, vapour_pressure="1 kPa")
    assert any(said in c for c in out.cautions) == bool(said)
    assert (out.outcome.values["margin"] <= 0) == (said == "boils or parts")


def test_greatest_lift_leaves_no_margin() -> None:
    given = {"density": "0.88 kg/L", "vapour_pressure": "1 kPa", "loss": "0.1 bar"}
    highest = run("suction-margin", lift="0", **given).outcome.values["greatest_lift"]
    margin = run("suction-margin", lift=f"{highest} m", **given).outcome.values["margin"]
    assert margin == pytest.approx(0.0, abs=1e-3)


def test_slip_from_a_bucket() -> None:
    out = run("pump-slip", bore="38 mm", stroke="80 mm", cycle_rate="40 cycles/min",
              flow="3.5 L/min").outcome.values  # fmt: skip
    assert out["ideal_flow"] * 60000 == pytest.approx(3.6292, rel=1e-4)
    assert out["slip"] == pytest.approx(1 - 3.5 / 3.6292, rel=1e-3)


def test_more_than_the_displacement_is_doubted_and_twice_is_refused() -> None:
    given = {"bore": "38 mm", "stroke": "80 mm", "cycle_rate": "40 cycles/min"}
    assert any("again" in c for c in run("pump-slip", flow="4 L/min", **given).cautions)
    with pytest.raises(BadInput, match="twice"):
        run("pump-slip", flow="40 L/min", **given)
