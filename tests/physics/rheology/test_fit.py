"""Flow laws from viscometer readings."""

from __future__ import annotations

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress
from scipy.stats import t as student

from wetend.errors import BadInput
from wetend.physics.rheology.fit import choose, corrected_criterion, fit
from wetend.physics.rheology.flow import shear_stress
from wetend.physics.rheology.laws import LAWS
from wetend.physics.rheology.liquid import Liquid

RATES = np.geomspace(1.0, 1000.0, 12)


@pytest.mark.parametrize("law", LAWS)
@costly(8)
@given(st.floats(0.5, 50.0), st.floats(0.01, 10.0), st.floats(0.3, 1.2))
def test_exact_readings_give_the_law_back(
    law: str, yield_stress: float, consistency: float, index: float
) -> None:
    liquid = Liquid(
        law, 1000.0,
        yield_stress if "yield_stress" in LAWS[law].fitted else 0.0,
        consistency,
        index if "index" in LAWS[law].fitted else 1.0,
    )  # fmt: skip
    stresses = shear_stress(liquid, RATES)
    found = fit(RATES, stresses, law)
    assert found.spread < 1e-4
    assert shear_stress(found.liquid, RATES) == pytest.approx(stresses, rel=1e-3)


def test_readings_with_scatter_say_how_large_it_is() -> None:
    rng = np.random.default_rng(20250101)
    truth = Liquid("power-law", 1000.0, 0.0, 3.0, 0.7)
    rates = np.geomspace(1, 1000, 400)
    noisy = shear_stress(truth, rates) * np.exp(rng.normal(0.0, 0.05, rates.size))
    found = fit(rates, noisy, "power-law")
    assert found.spread == pytest.approx(0.05, rel=0.15)
    assert found.liquid.index == pytest.approx(0.7, abs=0.01)


def test_yield_stress_is_never_less_than_nought() -> None:
    thickening = [1.0, 3.0, 9.0]
    assert fit([10.0, 20.0, 40.0], thickening, "bingham").liquid.yield_stress == 0.0


@pytest.mark.parametrize(
    ("rates", "stresses", "sentence"),
    [
        ([1.0, 2.0], [1.0], "one stress for each"),
        ([1.0, -2.0], [1.0, 2.0], "more than zero"),
        ([1.0, float("nan")], [1.0, 2.0], "more than zero"),
        ([5.0, 5.0], [1.0, 2.0], "2 or more"),
        ([1.0, 10.0], [5.0, 4.0], "must rise"),
    ],
)
def test_unusable_readings_are_refused(
    rates: list[float], stresses: list[float], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        fit(rates, stresses, "power-law")


def test_intervals_cover_the_truth_about_as_often_as_they_say() -> None:
    # 95 % intervals, 400 simulated sets; the binomial spread of the count is 1.1 %
    rng = np.random.default_rng(7)
    truth = Liquid("power-law", 1000.0, 0.0, 3.0, 0.7)
    clean = shear_stress(truth, RATES)
    inside = 0
    for _ in range(400):
        found = fit(RATES, clean * np.exp(rng.normal(0.0, 0.05, RATES.size)), "power-law")
        inside += found.intervals["index"].low <= 0.7 <= found.intervals["index"].high
    assert 0.92 < inside / 400 < 0.98


def test_intervals_of_a_power_law_are_those_of_the_straight_line() -> None:
    # second route: linear regression of the logarithms by SciPy
    rng = np.random.default_rng(11)
    stresses = 3.0 * RATES**0.7 * np.exp(rng.normal(0.0, 0.05, RATES.size))
    line = linregress(np.log(RATES), np.log(stresses))
    reach = student.ppf(0.975, RATES.size - 2) * line.stderr
    found = fit(RATES, stresses, "power-law")
    assert found.liquid.index == pytest.approx(line.slope, rel=1e-9)
    assert found.intervals["index"].high == pytest.approx(line.slope + reach, rel=1e-6)
    assert found.intervals["consistency"].low == pytest.approx(
        np.exp(line.intercept - student.ppf(0.975, RATES.size - 2) * line.intercept_stderr),
        rel=1e-6,
    )


@pytest.mark.parametrize("law", [law.name for law in LAWS.values() if law.family])
def test_the_criterion_finds_the_law_the_readings_came_from(law: str) -> None:
    rng = np.random.default_rng(3)
    truth = {
        "newtonian": Liquid("newtonian", 1000.0, 0.0, 0.8, 1.0),
        "power-law": Liquid("power-law", 1000.0, 0.0, 3.0, 0.7),
        "bingham": Liquid("bingham", 1000.0, 6.0, 0.18, 1.0),
        "herschel-bulkley": Liquid("herschel-bulkley", 1000.0, 12.0, 6.5, 0.6),
    }[law]
    rates = np.geomspace(0.5, 1000.0, 24)
    stresses = shear_stress(truth, rates) * np.exp(rng.normal(0.0, 0.02, rates.size))
    found = choose(rates, stresses)
    assert found.best.liquid.law == law
    assert sum(found.weights) == pytest.approx(1.0)
    assert list(found.weights) == sorted(found.weights, reverse=True)
    exact = choose(rates, shear_stress(truth, rates))
    assert exact.best.liquid.law == law


def test_criterion_by_hand_and_the_laws_few_readings_leave_out() -> None:
    # N ln s^2 + 2k + 2k(k+1)/(N-k-1): 10 ln 0.01 + 6 + 24/6
    assert corrected_criterion(0.1, 10, 3) == pytest.approx(10 * np.log(0.01) + 10.0)
    assert corrected_criterion(0.1, 4, 3) == np.inf
    laws = {f.liquid.law for f in choose([1, 3, 10, 30, 100], [2.0, 3.4, 6.4, 10.9, 20.1]).fits}
    assert laws == {"newtonian", "power-law", "bingham"}
    with pytest.raises(BadInput, match="five readings"):
        choose([1, 10, 100, 1000], [1.0, 2.0, 3.0, 4.0])


def test_as_many_readings_as_parameters_have_no_interval() -> None:
    assert fit([10.0, 50.0], [15.85, 21.87], "bingham").intervals == {}
