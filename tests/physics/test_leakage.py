"""Leak laws: limits, two routes to one answer, and series resistance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from closed_forms import passage_flow, ring_flow
from hypothesis import given
from hypothesis import strategies as st

from wetend.physics import leakage


def test_eccentric_gap_between_its_limits() -> None:
    # 1, 1.375, 2.5 at offsets 0, 1/2, 1: Merritt, Hydraulic Control Systems (from memory)
    factors = [leakage.eccentric_factor(e) for e in (0.0, 0.5, 1.0)]
    assert factors == pytest.approx([1.0, 1.375, 2.5], rel=1e-12)


def test_eccentric_factor_is_the_mean_cubed_gap_round_the_circle() -> None:
    """Second route: the gap c(1 + e cos t), each slice a slot of its own."""
    turn = np.linspace(0, 2 * math.pi, 721)[:-1]
    for offset in (0.2, 0.7, 1.0):
        mean = float(np.mean((1 + offset * np.cos(turn)) ** 3))
        assert leakage.eccentric_factor(offset) == pytest.approx(mean, rel=1e-12)


def test_thin_annulus_against_exact_annulus() -> None:
    """Lamb's exact concentric annulus (White, Viscous Fluid Flow, from memory), thin to 1 %."""
    inner, gap = 0.0125, 2e-4
    outer = inner + gap
    exact = (
        math.pi / 8 * (outer**4 - inner**4 - (outer**2 - inner**2) ** 2 / math.log(outer / inner))
    )
    assert leakage.annulus_conductance(2 * inner + gap, gap, 1.0) == pytest.approx(exact, rel=1e-4)


@given(
    pressure=st.floats(-1e8, 1e8),
    laminar=st.floats(1.0, 1e16),
    inertial=st.floats(0.0, 1e22),
)
def test_series_flow_satisfies_its_own_equation(
    pressure: float, laminar: float, inertial: float
) -> None:
    flow = leakage.series_flow(pressure, laminar, inertial)
    back = laminar * flow + inertial * flow * abs(flow)
    assert back == pytest.approx(pressure, rel=1e-9, abs=1e-12)


def test_damaged_seat_goes_from_drag_to_head() -> None:
    chip = leakage.seat_gap(60e-6, 2e-3, 1e-3)
    thick = passage_flow(chip, 2e7, viscosity=5.0, density=1350.0)
    assert thick == pytest.approx(2e7 / (chip.drag * 5.0), rel=1e-3)
    thin = passage_flow(chip, 2e7, viscosity=1e-6, density=1000.0)
    orifice = math.sqrt(1 / 1.5) * 2e-3 * 60e-6 * math.sqrt(2 * 2e7 / 1000.0)
    assert thin == pytest.approx(orifice, rel=1e-3)


def test_arrays_give_what_single_numbers_give() -> None:
    worn = leakage.annulus_passage(0.038, 60e-6, 0.022)
    pressures = np.array([1e6, 1e7, 2.5e7])
    drags = worn.drag * np.array([0.05, 0.4, 2.0])
    flows = leakage.series_flow(pressures, drags, worn.head * 1300.0)
    single = [
        leakage.series_flow(float(p), float(drag), worn.head * 1300.0)
        for p, drag in zip(pressures, drags, strict=True)
    ]
    assert isinstance(single[0], float)
    np.testing.assert_allclose(flows, single, rtol=1e-14)


def test_worn_packings_are_an_annulus_over_their_height() -> None:
    worn = leakage.annulus_passage(0.038, 60e-6, 0.022, losses=0.0)
    flow = passage_flow(worn, 2e7, viscosity=0.4, density=1300.0)
    same = ring_flow(0.038, 60e-6, length=0.022, pressure=2e7, viscosity=0.4)
    assert flow == pytest.approx(same, rel=1e-12)
