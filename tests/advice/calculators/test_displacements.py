"""Displacement and slip as people type them."""

from __future__ import annotations

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput

PUMP = {"bore": "38 mm", "rod": "27 mm", "stroke": "80 mm", "rate": "40 cycles/min"}


def run(**typed: str) -> Calculation:
    return calculate(find_calculator("displacement"), {**PUMP, **typed})


def test_slip_from_a_bucket() -> None:
    out = run(delivered="3.5 L/min").outcome.values
    assert out["theoretical_flow"] * 60000 == pytest.approx(3.6292, rel=1e-4)
    assert out["slip"] == pytest.approx(1 - 3.5 / 3.6292, rel=1e-3)
    assert out["volumetric_efficiency"] + out["slip"] == pytest.approx(1.0)


def test_both_strokes_share_the_displacement() -> None:
    out = run().outcome.values
    cycle = out["theoretical_flow"] / (40 / 60)
    assert out["up_volume"] + out["down_volume"] == pytest.approx(cycle)
    assert "slip" not in out


def test_a_pump_that_draws_in_at_both_ends() -> None:
    # 4 in bore, 1.5 in rod, 6 in stroke, 50 a minute: 30.345 US gallons a minute by
    # (2A - a) s n / 231, Hydraulic Institute form after piping-designer.com
    out = run(bore="4 in", rod="1.5 in", stroke="6 in", rate="50 cycles/min", valves="both-ends")
    assert out.outcome.values["theoretical_flow"] * 60 / 231 / 0.0254**3 == pytest.approx(
        30.345, rel=1e-4
    )


def test_more_than_the_displacement_is_doubted_and_twice_is_refused() -> None:
    assert any("again" in c for c in run(delivered="4 L/min").cautions)
    for much in ("7.4 L/min", "40 L/min"):  # it displaces 3.63
        with pytest.raises(BadInput, match="twice"):
            run(delivered=much)
    assert run(delivered="7.1 L/min").outcome.values["slip"] < -0.9
    with pytest.raises(BadInput, match="thinner"):
        run(rod="40 mm")
