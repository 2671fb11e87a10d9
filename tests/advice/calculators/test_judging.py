"""Roundness, conformance and budgets: points as people type them, second routes, safe formulas."""

from __future__ import annotations

import math

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from wetend.advice.calculators.calculator import Outcome, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.advice.calculators.expressions import parsed, worked_out
from wetend.errors import BadInput, NoAnswer


def run(name: str, system=None, **typed: str) -> Outcome:
    return calculate(find_calculator(name), typed, system=system).outcome


@pytest.mark.parametrize(
    "points",
    [
        "0.019, 0; 0, 0.019; -0.019, 0; 0, -0.019",
        "19, 0; 0, 19; -19, 0; 0, -19 mm",
        "19 0; 0 19\n-19 0; 0 -19 mm",
        "(19, 0), (0, 19), (-19, 0), (0, -19) mm",
        "[[0.019, 0], [0, 0.019], [-0.019, 0], [0, -0.019]]",
        "0.019,0,0,0.019,-0.019,0,0,-0.019",
    ],
)
def test_points_are_read_however_they_are_typed(points: str) -> None:
    found = run("roundness", points=points).values
    assert found["radius"] == pytest.approx(0.019, rel=1e-9)
    assert found["roundness"] == pytest.approx(0.0, abs=1e-12)


def test_bare_points_on_a_page_are_in_what_its_reader_reads() -> None:
    square = "1, 0; 0, 1; -1, 0; 0, -1"
    assert run("roundness", "metric", points=square).values["radius"] == pytest.approx(1e-3)
    assert run("roundness", "imperial", points=square).values["radius"] == pytest.approx(0.0254)


@pytest.mark.parametrize(
    "points", ["1, 2; 3", "1; 2; 3", "a, b; c, d; e, f", "1,2;3,4", "1e9,0;2,1;3,3"]
)
def test_points_that_are_none_are_refused_in_a_sentence(points: str) -> None:
    with pytest.raises(BadInput):
        run("roundness", points=points)


@costly(8)
@given(
    st.lists(st.floats(-30, 30), min_size=8, max_size=20),
    st.floats(0, 2 * math.pi),
)
def test_minimum_zone_agrees_with_an_optimiser_of_its_own(off: list[float], turn: float) -> None:
    angle = turn + 2 * np.pi * np.arange(len(off)) / len(off)
    radius = 19.0 + np.array(off) * 1e-3
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    typed = "; ".join(f"{a!r}, {b!r}" for a, b in zip(x.tolist(), y.tolist(), strict=True)) + " mm"
    found = run("roundness", points=typed).values["minimum_zone_roundness"]

    def zone(c: np.ndarray) -> float:
        d = np.hypot(x - c[0], y - c[1])
        return float(d.max() - d.min())

    tries = [minimize(zone, s, method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-12,
                      "maxiter": 4000}) for s in ([0, 0], [0.02, 0.01], [-0.01, 0.02])]  # fmt: skip
    best = min(t.fun for t in tries)
    assert found * 1e3 <= best + 1e-6
    assert found * 1e3 == pytest.approx(best, abs=2e-4)


@pytest.mark.parametrize(
    ("value", "verdict"),
    [("38.09", "conforms"), ("38.149", "not proven"), ("38.2", "does not conform")],
)
def test_the_verdict_follows_the_risk_allowed(value: str, verdict: str) -> None:
    found = run("conformance", value=value, uncertainty="0.01", lower="38", upper="38.15").values
    assert found["verdict"] == verdict
    assert found["probability"] + found["risk"] == pytest.approx(1)
    assert found["accept_to"] == pytest.approx(38.15 - 1.6449 * 0.01, abs=1e-5)


def test_a_smaller_risk_asks_for_a_wider_guard_band() -> None:
    typed = {"value": "9", "uncertainty": "0.5", "upper": "10"}
    assert run("conformance", **typed).values["verdict"] == "conforms"
    strict = run("conformance", maximum_risk="0.01", **typed).values
    assert strict["verdict"] == "not proven"
    assert strict["guard_band"] == pytest.approx(0.5 * 2.3263, abs=1e-4)


def test_conformance_without_a_limit_says_so() -> None:
    with pytest.raises(BadInput, match="limit is needed"):
        run("conformance", value="1", uncertainty="1")


def test_risks_agree_with_drawing_parts_and_measurements() -> None:
    found = run("acceptance-risk", mean="10", spread="0.5", uncertainty="0.2", lower="9",
                upper="11").values  # fmt: skip
    random = np.random.default_rng(5)
    true = random.normal(10, 0.5, 400_000)
    seen = true + random.normal(0, 0.2, true.size)
    bad, taken = np.abs(true - 10) > 1, np.abs(seen - 10) <= 1
    assert found["out_of_limits"] == pytest.approx(float(bad.mean()), rel=0.02)
    assert found["consumer_risk"] == pytest.approx(float((bad & taken).mean()), rel=0.05)
    assert found["producer_risk"] == pytest.approx(float((~bad & ~taken).mean()), rel=0.05)


def test_a_budget_by_formula_agrees_with_drawing_its_inputs() -> None:
    found = run("uncertainty-budget", formula="4*v/(3.141592653589793*d^2*l)", names="v, d, l",
                values="90, 38, 80", uncertainties="0.5, 0.02, 0.3").values  # fmt: skip
    random = np.random.default_rng(6)
    v, d, length = (random.normal(m, s, 400_000) for m, s in ((90, 0.5), (38, 0.02), (80, 0.3)))
    drawn = 4 * v / (math.pi * d**2 * length)
    assert found["value"] == pytest.approx(float(drawn.mean()), rel=1e-3)
    assert found["combined"] == pytest.approx(float(drawn.std()), rel=0.01)
    assert found["largest"] == "v"
    assert sum(found["shares"]) == pytest.approx(1)


@pytest.mark.parametrize(
    "formula",
    ["__import__('os')", "a.real", "a[0]", "lambda: 1", "a if b else 1", "open(a)", "a == b",
     "'x'*9", "a; b", "(" * 400, "a +", "True + 1", "max(a, b)", "[x for x in a]"],
)  # fmt: skip
def test_a_formula_is_arithmetic_and_nothing_else(formula: str) -> None:
    with pytest.raises(BadInput):
        parsed(formula)


def test_a_formula_without_a_value_is_said_to_have_none() -> None:
    for formula in ("1/(a-a)", "sqrt(0-a)", "9^9^9^a", "log(0*a)", "exp(1000*a)"):
        with pytest.raises(NoAnswer):
            worked_out(parsed(formula), {"a": 2.0})


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(0.1, 9))
def test_formulas_follow_the_rules_of_arithmetic(a: float, b: float, c: float) -> None:
    made = worked_out(parsed("-a + b*c^2 - (a - b)/c"), {"a": a, "b": b, "c": c})
    assert made == pytest.approx(-a + b * c**2 - (a - b) / c)


def test_budgets_that_do_not_fit_together_are_refused() -> None:
    for typed in (
        {"uncertainties": "1, 2", "values": "1"},
        {"uncertainties": "1, 2", "names": "a, a"},
        {"uncertainties": "1, -2"},
        {"uncertainties": "1", "formula": "a*z"},
    ):
        with pytest.raises(BadInput):
            run("uncertainty-budget", **typed)


@pytest.mark.parametrize(
    ("odd", "said"),
    [
        ({"spread": "1.1e-308"}, "spread is"),
        ({"mean": "1.1e-308", "law": "gamma"}, "spread of parts"),
        ({"mean": "1.1e-308", "law": "lognormal"}, "spread of parts"),
    ],
)
def test_parts_spread_by_next_to_nothing_are_refused(odd: dict[str, str], said: str) -> None:
    usual = {"mean": "1", "spread": "0.5", "uncertainty": "0.1", "upper": "2"}
    with pytest.raises(BadInput, match=said):
        run("acceptance-risk", **{**usual, **odd})


def test_a_budget_of_numbers_too_large_to_square_is_told() -> None:
    found = run("uncertainty-budget", uncertainties="1e15, 1e15", sensitivities="1e15, 1e15").values
    assert found["combined"] == pytest.approx(math.sqrt(2) * 1e30)
    steep = {"formula": "1/d^9", "names": "d", "values": "1e-15", "uncertainties": "1e-16"}
    with pytest.raises(NoAnswer, match=r"slip|too large|no value"):
        run("uncertainty-budget", **{**steep, "formula": "1/d^24"})
    assert run("uncertainty-budget", **steep).values["combined"] > 1e134


def test_a_formula_that_bends_says_so() -> None:
    # a square at zero: first order sees nothing, second order sqrt(2) u^2 (JCGM 100:2008, 5.1.2)
    bent = run("uncertainty-budget", formula="a*a", values="0", uncertainties="0.5")
    assert bent.values["combined"] == 0.0
    assert bent.values["second_order"] == pytest.approx(math.sqrt(2) * 0.25)
    assert any("bends" in caution for caution in bent.cautions)
    straight = run("uncertainty-budget", formula="a+b", values="1, 2", uncertainties="0.1, 0.1")
    assert straight.values["second_order"] == pytest.approx(straight.values["combined"])
    assert straight.cautions == ()
    assert "second_order" not in run("uncertainty-budget", uncertainties="1, 2").values
    edge = run("uncertainty-budget", formula="1/a", values="1", uncertainties="1")
    assert "second_order" not in edge.values  # none at a - u
