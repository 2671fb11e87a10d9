"""Slit flow of every law: by integration, at its limits, and as the stroke model has it."""

from __future__ import annotations

import numpy as np
import pytest
from closed_forms import passage_flow, ring_flow
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import gamma

from wetend.errors import BadInput
from wetend.physics.leakage import seat_gap
from wetend.physics.rheology.liquid import Liquid
from wetend.physics.slits import (
    annulus_leak,
    short_slit_leak,
    slit_flow,
    slit_viscosity,
    wall_stress,
)
from wetend.physics.stroke.gap import Filling, GapPath, leak_rate


def _integrated(liquid: Liquid, gap: float, length: float, pressure: float) -> float:
    """Flow per breadth: twice the integral of distance from the middle times shear rate."""
    slope = pressure / length
    start = min(liquid.yield_stress / slope, gap / 2)

    def moment(y: float) -> float:
        stress = max(slope * y - liquid.yield_stress, 0.0)
        return float(y * (stress / liquid.consistency) ** (1 / liquid.index))

    return 2 * float(quad(moment, start, gap / 2, epsabs=0, epsrel=1e-12, limit=300)[0])


@given(
    yield_stress=st.floats(0, 100),
    consistency=st.floats(0.05, 20),
    index=st.floats(0.3, 1.5),
    pressure=st.floats(1e5, 1e7),
)
def test_closed_form_is_the_integral_of_the_profile(
    yield_stress: float, consistency: float, index: float, pressure: float
) -> None:
    liquid = Liquid("herschel-bulkley", 1400.0, yield_stress, consistency, index)
    flow = float(slit_flow(liquid, 2e-4, breadth=1.0, length=0.02, pressure=pressure))
    assert flow == pytest.approx(_integrated(liquid, 2e-4, 0.02, pressure), rel=1e-9)


def test_newtonian_slit_is_the_annulus_opened_out() -> None:
    liquid = Liquid("newtonian", 1300.0, 0.0, 0.4, 1.0)
    slit = slit_flow(liquid, 60e-6, breadth=np.pi * 0.038, length=0.022, pressure=2e7)
    ring = ring_flow(0.038, 60e-6, length=0.022, pressure=2e7, viscosity=0.4)
    assert float(slit) == pytest.approx(ring, rel=1e-12)


def test_power_law_slit_agrees_with_the_stroke_model() -> None:
    liquid = Liquid("power-law", 1400.0, 0.0, 3.2, 0.72)
    gaps = np.array([10e-6, 60e-6, 200e-6])
    ours = slit_flow(liquid, gaps, breadth=0.01, length=0.004, pressure=1e7)
    theirs = leak_rate(gaps, GapPath(0.01, 0.004), Filling(3.2, 0.72, 1400.0), pressure=1e7)
    np.testing.assert_allclose(ours, theirs.laminar, rtol=1e-10)


def test_a_coating_below_its_yield_stress_does_not_leak() -> None:
    liquid = Liquid("bingham", 1500.0, 50.0, 0.2, 1.0)
    still = 2 * 0.02 * 50.0 / 20e-6  # the pressure that just reaches the yield stress
    assert float(wall_stress(20e-6, length=0.02, pressure=still)) == pytest.approx(50.0)
    flows = slit_flow(
        liquid, 20e-6, breadth=0.1, length=0.02, pressure=np.array([0.0, still, 1.001 * still])
    )
    assert flows[0] == flows[1] == 0.0
    assert flows[2] > 0.0
    assert np.isinf(slit_viscosity(liquid, 20e-6, length=0.02, pressure=0.5 * still))


def test_equal_viscosity_gives_equal_leak() -> None:
    liquid = Liquid("herschel-bulkley", 1400.0, 12.0, 6.5, 0.6)
    same = slit_viscosity(liquid, 80e-6, length=0.022, pressure=1e7)
    flow = slit_flow(liquid, 80e-6, breadth=np.pi * 0.038, length=0.022, pressure=1e7)
    ring = ring_flow(0.038, 80e-6, length=0.022, pressure=1e7, viscosity=float(same))
    assert float(flow) == pytest.approx(ring, rel=1e-12)


@pytest.mark.parametrize("eccentricity", [0.0, 0.3, 0.7, 1.0])
def test_newtonian_annulus_has_the_known_eccentric_factor(eccentricity: float) -> None:
    liquid = Liquid("newtonian", 1300.0, 0.0, 0.4, 1.0)
    how = {"length": 0.022, "pressure": 2e7, "eccentricity": eccentricity}
    ours = annulus_leak(liquid, 0.038, 60e-6, **how)
    known = ring_flow(0.038, 60e-6, viscosity=0.4, **how)
    assert ours == pytest.approx(known, rel=1e-12)


@given(
    yield_stress=st.floats(0, 3000),
    consistency=st.floats(0.05, 20),
    index=st.floats(0.3, 1.5),
    eccentricity=st.floats(0, 1),
)
def test_eccentric_annulus_is_the_integral_of_its_slits(
    yield_stress: float, consistency: float, index: float, eccentricity: float
) -> None:
    liquid = Liquid("herschel-bulkley", 1400.0, yield_stress, consistency, index)
    turn = np.linspace(0, 2 * np.pi, 20_001)[:-1]
    gaps = 60e-6 * (1 + eccentricity * np.cos(turn))
    slices = slit_flow(liquid, gaps, breadth=np.pi * 0.038, length=0.022, pressure=2e6)
    found = annulus_leak(
        liquid, 0.038, 60e-6, length=0.022, pressure=2e6, eccentricity=eccentricity
    )
    assert found == pytest.approx(float(np.mean(slices)), rel=2e-5, abs=1e-20)


def test_a_thinning_coating_leaks_more_than_two_and_a_half_times_when_fully_off_centre() -> None:
    how = {"length": 0.022, "pressure": 2e6}
    factors = []
    for index in (1.0, 0.7, 0.5):
        liquid = Liquid("power-law", 1400.0, 0.0, 3.0, index)
        centred = annulus_leak(liquid, 0.038, 60e-6, **how)
        factors.append(annulus_leak(liquid, 0.038, 60e-6, **how, eccentricity=1.0) / centred)
    # by hand: the mean of (1 + cos t)^m, m = 2 + 1/n, is 2^m G(m + 1/2)/(sqrt(pi) G(m + 1))
    by_hand = [2**m * gamma(m + 0.5) / (np.sqrt(np.pi) * gamma(m + 1))
               for m in (3.0, 2 + 1 / 0.7, 4.0)]  # fmt: skip
    assert factors == pytest.approx(by_hand, rel=1e-9)
    assert by_hand[0] == pytest.approx(2.5)


def test_a_ring_stiff_all_round_does_not_leak_and_offsets_past_touch_are_refused() -> None:
    liquid = Liquid("bingham", 1500.0, 500.0, 0.2, 1.0)
    assert annulus_leak(liquid, 0.038, 10e-6, length=0.022, pressure=1e6, eccentricity=0.9) == 0.0
    assert annulus_leak(liquid, 0.038, 10e-6, length=0.022, pressure=0.0) == 0.0
    with pytest.raises(BadInput, match="between zero and one"):
        annulus_leak(liquid, 0.038, 10e-6, length=0.022, pressure=1e6, eccentricity=1.1)


@given(st.floats(-4, 1), st.floats(10e-6, 300e-6), st.floats(5, 7.7))
def test_a_newtonian_chip_is_the_passage_of_the_leakage_sums(
    log_viscosity: float, gap: float, log_pressure: float
) -> None:
    viscosity, pressure = 10.0**log_viscosity, 10.0**log_pressure
    liquid = Liquid("newtonian", 1300.0, 0.0, viscosity, 1.0)
    ours = short_slit_leak(liquid, gap, breadth=2e-3, length=1e-3, pressure=pressure)
    known = passage_flow(seat_gap(gap, 2e-3, 1e-3), pressure, viscosity=viscosity, density=1300.0)
    assert ours == pytest.approx(known, rel=1e-9)


@given(
    yield_stress=st.floats(0, 300), consistency=st.floats(1e-3, 20), index=st.floats(0.3, 1.5),
    log_pressure=st.floats(5, 7.7),
)  # fmt: skip
def test_a_chip_balances_drag_and_ends_for_every_law(
    yield_stress: float, consistency: float, index: float, log_pressure: float
) -> None:
    liquid = Liquid("herschel-bulkley", 1400.0, yield_stress, consistency, index)
    pressure = 10.0**log_pressure
    flow = short_slit_leak(liquid, 80e-6, breadth=2e-3, length=1e-3, pressure=pressure)
    ends = 1.5 * 1400.0 / 2 * (flow / (2e-3 * 80e-6)) ** 2
    assert 0 <= ends <= pressure * (1 + 1e-9)
    through = slit_flow(liquid, 80e-6, breadth=2e-3, length=1e-3, pressure=pressure - ends)
    if ends < 0.99 * pressure:
        assert float(through) == pytest.approx(flow, rel=1e-6, abs=1e-18)
    longer = short_slit_leak(liquid, 80e-6, breadth=2e-3, length=2e-3, pressure=pressure)
    assert longer <= flow * (1 + 1e-9)


def test_a_tight_or_unloaded_chip_does_not_leak() -> None:
    liquid = Liquid("bingham", 1500.0, 5000.0, 0.2, 1.0)
    assert short_slit_leak(liquid, 10e-6, breadth=2e-3, length=1e-3, pressure=1e5) == 0.0
    assert short_slit_leak(liquid, 0.0, breadth=2e-3, length=1e-3, pressure=1e7) == 0.0
