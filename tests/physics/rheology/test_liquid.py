"""The flow law as five plain numbers."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wetend.errors import BadInput
from wetend.physics.rheology.bingham import bingham
from wetend.physics.rheology.flow import effective_viscosity, shear_stress
from wetend.physics.rheology.herschel_bulkley import herschel_bulkley
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.rheology.newtonian import newtonian
from wetend.physics.rheology.power_law import power_law

FOUR = (
    newtonian(0.28, 1180.0),
    power_law(3.2, 0.72, 1420.0),
    bingham(6.0, 0.18, 2650.0),
    herschel_bulkley(12.0, 6.5, 0.6, 1360.0),
)


@pytest.mark.parametrize("liquid", FOUR, ids=lambda liquid: liquid.law)
def test_effective_viscosity_times_rate_is_the_stress(liquid: Liquid) -> None:
    rates = np.geomspace(1e-3, 1e6, 40)
    assert effective_viscosity(liquid, rates) * rates == pytest.approx(
        shear_stress(liquid, rates), rel=1e-13
    )


@pytest.mark.parametrize(
    ("liquid", "at_rest"),
    [(FOUR[0], 0.28), (FOUR[1], math.inf), (FOUR[2], math.inf), (power_law(1.0, 1.5), 0.0)],
)
def test_effective_viscosity_at_rest(liquid: Liquid, at_rest: float) -> None:
    assert float(effective_viscosity(liquid, 0.0)) == at_rest


@pytest.mark.parametrize(
    "bad",
    [
        {"density": 0.0}, {"consistency": -1.0}, {"consistency": math.nan}, {"index": 0.0},
        {"index": math.inf}, {"yield_stress": -0.1}, {"yield_stress": math.nan},
    ],
)  # fmt: skip
def test_impossible_liquids_are_refused_with_the_field_named(bad: dict[str, float]) -> None:
    good = {"density": 1000.0, "yield_stress": 1.0, "consistency": 1.0, "index": 1.0}
    with pytest.raises(BadInput, match=next(iter(bad)).replace("_", " ")):
        Liquid("herschel-bulkley", **{**good, **bad})
