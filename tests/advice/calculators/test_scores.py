"""Scores and worn packings as people type them."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import Calculation, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput

SCORE = {"width": "200 um", "depth": "40 um", "length": "22 mm", "pressure": "200 bar"}


def score(**typed: str) -> Calculation:
    return calculate(find_calculator("score-leak"), {**SCORE, **typed})


def test_an_equilateral_score_has_a_closed_form() -> None:
    # Q = sqrt(3) s^4 dp / (320 mu L): closed form of the equilateral duct
    side = 200e-6
    out = score(shape="triangle", depth=f"{side * math.sqrt(3) / 2!r} m", viscosity="0.5")
    exact = math.sqrt(3) * side**4 * 2e7 / (320 * 0.5 * 0.022)
    assert out.outcome.values["flow"] == pytest.approx(exact, rel=1e-5)


def test_a_square_score_by_its_handbook_number() -> None:
    # Darcy f Re 56.91 of the square: Shah and London (1978)
    out = score(shape="rectangle", width="100 um", depth="100 um", viscosity="0.5").outcome.values
    assert out["poiseuille"] == pytest.approx(56.91, rel=1e-4)
    assert out["flow"] == pytest.approx(2 * 1e-8 * 1e-8 * 2e7 / (56.908 * 0.5 * 0.022), rel=1e-4)


@pytest.mark.parametrize("shape", ["rectangle", "triangle", "arc", "half-ellipse", "parabola"])
def test_every_shape_leaks_and_a_rectangle_leaks_most(shape: str) -> None:
    flow = score(shape=shape, viscosity="0.5").outcome.values["flow"]
    most = score(shape="rectangle", viscosity="0.5").outcome.values["flow"]
    assert 0 < flow <= most


def test_a_semicircle_is_half_as_deep_as_wide() -> None:
    found = score(shape="semicircle", depth="100 um", viscosity="0.5").outcome.values
    exact = (math.pi / 8 - 1 / math.pi) * 1e-16 * 2e7 / (0.5 * 0.022)
    assert found["flow"] == pytest.approx(exact, rel=2e-4)
    with pytest.raises(BadInput, match="arc"):
        score(shape="semicircle", viscosity="0.5")
    with pytest.raises(BadInput, match="depth"):
        calculate(find_calculator("score-leak"),
                  {"shape": "triangle", "width": "0.1 mm", "length": "22 mm", "pressure": "1 bar",
                   "viscosity": "1"})  # fmt: skip


def test_a_flow_law_instead_of_a_viscosity() -> None:
    same = score(shape="triangle", consistency="0.5", index="1").outcome.values["flow"]
    assert same == pytest.approx(score(shape="triangle", viscosity="0.5").outcome.values["flow"])
    still = score(shape="triangle", consistency="0.5", index="0.6", yield_stress="20000 Pa",
                  pressure="10 bar")  # fmt: skip
    assert still.outcome.values["flow"] == 0.0
    assert any("still" in c for c in still.cautions)
    with pytest.raises(BadInput, match="viscosity, or the consistency"):
        score(shape="triangle")
    with pytest.raises(BadInput, match="together with the index"):
        score(shape="triangle", consistency="0.5")


def test_thin_liquids_and_short_scores_are_cautioned() -> None:
    out = score(shape="rectangle", depth="0.5 mm", width="2 mm", length="2 mm", viscosity="0.001",
                density="1000")  # fmt: skip
    assert any("laminar" in c for c in out.cautions)
    assert any("short" in c for c in out.cautions)


def test_worn_packings_leak_once_their_take_up_is_used() -> None:
    given = {"diameter": "38 mm", "height": "22 mm", "pressure": "200 bar", "worn": "40 um",
             "worn_distance": "100000 m", "viscosity": "0.5"}  # fmt: skip
    calculator = find_calculator("packing-wear")
    early = calculate(calculator, {**given, "distance": "60000 m"}).outcome.values
    assert early["flow"] == 0.0
    assert early["tight_until"] == pytest.approx(62_500)
    late = calculate(calculator, {**given, "distance": "150000 m"}).outcome.values
    assert late["gap"] == pytest.approx(35e-6)
    # by hand: pi D c^3 dp / (12 mu L)
    assert late["flow"] == pytest.approx(
        math.pi * 0.038 * (35e-6) ** 3 * 2e7 / (12 * 0.5 * 0.022), rel=1e-9
    )
