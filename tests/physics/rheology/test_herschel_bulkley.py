"""Flow in a round bore from the law of Herschel and Bulkley, against integration and its limits."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from wetend.physics.rheology.herschel_bulkley import (
    herschel_bulkley,
    local_index,
    nominal_rate,
    wall_stress,
)
from wetend.physics.rheology.liquid import Liquid

LIQUIDS = st.builds(
    herschel_bulkley,
    yield_stress=st.one_of(st.just(0.0), st.floats(1e-4, 1e3)),
    consistency=st.floats(1e-4, 1e3),
    index=st.floats(0.15, 2.0),
)


def integrated(wall: float, liquid: Liquid) -> float:
    """8V/D by the integral of Rabinowitsch and Mooney, 4/tau_w^3 int tau^2 rate(tau) dtau."""

    def under(tau: float) -> float:
        return tau**2 * ((tau - liquid.yield_stress) / liquid.consistency) ** (1 / liquid.index)

    area, _ = quad(under, liquid.yield_stress, wall, epsabs=0, epsrel=1e-12, limit=200)
    return 4.0 / wall**3 * area


@pytest.mark.parametrize(
    ("wall", "liquid"),
    [
        (60.0, herschel_bulkley(10.0, 2.0, 0.6)),
        (30.0, herschel_bulkley(15.0, 9.08, 0.26)),
        (15.3, herschel_bulkley(15.0, 9.08, 0.5)),
        (400.0, herschel_bulkley(1.0, 0.5, 1.4)),
    ],
)
def test_closed_form_agrees_with_integration(wall: float, liquid: Liquid) -> None:
    assert float(nominal_rate(wall, liquid)) == pytest.approx(integrated(wall, liquid), rel=1e-10)


def test_flow_for_the_record_by_both_routes() -> None:
    # no published Herschel-Bulkley pipe example was found; two routes of our own agree
    liquid = herschel_bulkley(10.0, 2.0, 0.6)
    flow = np.pi * 0.0125**3 / 4 * nominal_rate(60.0, liquid)
    assert float(flow) == pytest.approx(2.5682455e-4, rel=1e-7)


def test_each_law_is_a_limit() -> None:
    wall = np.geomspace(0.1, 1e4, 50)
    # Hagen and Poiseuille; Rabinowitsch and Mooney for a power law; Buckingham and Reiner
    newtonian = wall / 0.3
    assert nominal_rate(wall, herschel_bulkley(0.0, 0.3, 1.0)) == pytest.approx(newtonian)
    power = 4 * 0.4 / (3 * 0.4 + 1) * (wall / 2.0) ** (1 / 0.4)
    assert nominal_rate(wall, herschel_bulkley(0.0, 2.0, 0.4)) == pytest.approx(power)
    phi = np.minimum(15.0 / wall, 1.0)
    bingham = wall / 0.15 * (1 - phi) ** 2 * (3 + 2 * phi + phi**2) / 3
    assert nominal_rate(wall, herschel_bulkley(15.0, 0.15, 1.0)) == pytest.approx(bingham)


@given(LIQUIDS, st.floats(-9, 9))
def test_wall_stress_is_the_inverse_for_any_rate(liquid: Liquid, log_rate: float) -> None:
    rate = 10.0**log_rate
    wall = float(wall_stress(rate, liquid))
    excess = wall - liquid.yield_stress
    # digits of the excess stress are lost to rounding where it is small against the yield stress
    loss = wall / excess if excess > 0 else np.inf
    assert wall >= liquid.yield_stress
    assert (
        float(nominal_rate(wall, liquid))
        == pytest.approx(rate, rel=max(1e-9, min(1e-13 * loss / liquid.index, 1.0)), abs=1e-300)
        or loss > 1e12
    )


def test_nothing_flows_below_the_yield_stress_and_at_rest_the_wall_bears_it() -> None:
    liquid = herschel_bulkley(12.0, 6.5, 0.6)
    assert nominal_rate([0.0, 5.0, 12.0], liquid).tolist() == [0.0, 0.0, 0.0]
    assert float(wall_stress(0.0, liquid)) == 12.0
    assert float(wall_stress(0.0, herschel_bulkley(0.0, 3.0, 0.5))) == 0.0


@given(LIQUIDS, st.floats(-3, 3))
def test_local_index_is_the_slope_of_the_flow_curve(liquid: Liquid, log_excess: float) -> None:
    # the excess stress is set against the yield stress, so that differences keep their figures
    scale = liquid.yield_stress or liquid.consistency
    excess = scale * 10.0**log_excess
    low, high = (liquid.yield_stress + excess * (1 + s * 1e-4) for s in (-1, 1))
    rates = nominal_rate([low, high], liquid)
    slope = np.log(high / low) / np.log(rates[1] / rates[0])
    middle = liquid.yield_stress + excess
    assert float(local_index(middle, liquid)) == pytest.approx(slope, rel=1e-5)
