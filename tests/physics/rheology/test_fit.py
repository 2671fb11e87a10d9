"""Flow laws from viscometer readings."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.physics.rheology.fit import fit
from wetend.physics.rheology.liquid import LAWS, Law, Liquid, shear_stress

RATES = np.geomspace(1.0, 1000.0, 12)


@pytest.mark.parametrize("law", LAWS)
@given(st.floats(0.5, 50.0), st.floats(0.01, 10.0), st.floats(0.3, 1.2))
def test_exact_readings_give_the_law_back(
    law: Law, yield_stress: float, consistency: float, index: float
) -> None:
    liquid = Liquid(
        law, 1000.0,
        yield_stress if law in ("bingham", "herschel-bulkley") else 0.0,
        consistency,
        index if law in ("power-law", "herschel-bulkley") else 1.0,
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
        ([1.0, -2.0], [1.0, 2.0], "more than nought"),
        ([1.0, float("nan")], [1.0, 2.0], "more than nought"),
        ([5.0, 5.0], [1.0, 2.0], "2 or more"),
        ([1.0, 10.0], [5.0, 4.0], "must rise"),
    ],
)
def test_unusable_readings_are_refused(
    rates: list[float], stresses: list[float], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        fit(rates, stresses, "power-law")
