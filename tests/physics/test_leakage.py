"""Leak laws: limits, two routes to one answer, and series resistance."""

from __future__ import annotations

import math

import numpy as np
import pytest
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


def test_clearance_from_leak_turns_leak_from_clearance_round() -> None:
    gap = {"length": 0.022, "pressure": 2e7, "viscosity": 0.4, "eccentricity": 0.6}
    flow = leakage.annulus_flow(0.038, 60e-6, **gap)
    assert leakage.annulus_clearance(flow, 0.038, **gap) == pytest.approx(60e-6, rel=1e-12)


@pytest.mark.parametrize("aspect", [1.0, 0.5, 0.25, 0.1])
def test_rectangle_series_against_the_usual_polynomial(aspect: float) -> None:
    # 96(1 - 1.3553a + 1.9467a^2 - 1.7012a^3 + 0.9564a^4 - 0.2537a^5), Shah and London (1978),
    # good to 0.06 %
    powers = sum(c * aspect**n for n, c in enumerate(
        (1, -1.3553, 1.9467, -1.7012, 0.9564, -0.2537)))  # fmt: skip
    assert leakage.rectangle_poiseuille(aspect) == pytest.approx(96 * powers, rel=7e-4)


def test_rectangle_is_two_plates_when_very_flat_and_the_order_of_sides_does_not_matter() -> None:
    assert leakage.rectangle_poiseuille(0.0) == 96.0
    assert leakage.rectangle_poiseuille(1e-5) == pytest.approx(96.0, rel=1e-4)
    one, other = leakage.rectangle(1e-4, 3e-4), leakage.rectangle(3e-4, 1e-4)
    assert one == other
    flat = leakage.rectangle(10e-6, 10e-3)
    assert flat.conductance == pytest.approx(10e-3 * (10e-6) ** 3 / 12, rel=2e-3)


@pytest.mark.parametrize("apex", [20, 30, 45, 60, 90])
def test_triangle_table_against_the_modelica_fit(apex: int) -> None:
    # f Re = 48.5575 + 0.1577 b - 0.0013 b^2, b in degrees: Modelica Standard Library,
    # Fluid/Dissipation.mo, commit b756f9de; a fit good to about 1 %
    fit = 48.5575 + 0.1577 * apex - 0.0013 * apex**2
    assert leakage.triangle_poiseuille(math.radians(apex)) == pytest.approx(fit, rel=0.01)


def test_equilateral_triangle_is_exact() -> None:
    # Q = sqrt(3) s^4 dp / (320 mu L): closed form of the equilateral duct
    side = 2e-4
    score = leakage.triangle(side * math.sqrt(3) / 2, side)
    flow = leakage.channel_flow(score, length=0.02, pressure=2e7, viscosity=0.3)
    exact = math.sqrt(3) * side**4 * 2e7 / (320 * 0.3 * 0.02)
    assert flow == pytest.approx(exact, rel=1e-5)


def test_right_isosceles_triangle_against_its_series() -> None:
    """Second route: half a square cut along its diagonal, by the double sine series.

    The odd extension over the diagonal of a unit load of +1 and -1 in the two halves.
    """
    modes = range(1, 120)
    flow = 0.0
    for m in modes:
        for n in modes:
            if (m + n) % 2 == 0 or m == n:
                continue
            # load coefficient of sign(x - y) on the unit square
            integral = _sign_coefficient(m, n)
            flow += integral**2 / (math.pi**2 * (m * m + n * n))
    conductance = 4 * flow / 2  # half of the square's work lies in one triangle
    legs = leakage.triangle(math.sqrt(0.5), math.sqrt(2.0))
    assert legs.conductance == pytest.approx(conductance, rel=2e-3)


def _sign_coefficient(m: int, n: int) -> float:
    """Integral over the unit square of sign(x - y) sin(m pi x) sin(n pi y)."""

    # inner integral over y: (1 - cos(n pi x))/(n pi) below the diagonal less the rest above it
    def cosines(p: int, q: int) -> float:
        """Integral of sin(p pi x) cos(q pi x) over 0..1."""
        if (p + q) % 2 == 0:
            return 0.0
        return 2 * p / (math.pi * (p * p - q * q))

    ends = 1 + math.cos(n * math.pi)
    sine = (1 - math.cos(m * math.pi)) / (m * math.pi)
    return (ends * sine - 2 * cosines(m, n)) / (n * math.pi)


def test_shallow_score_is_a_slot_of_changing_depth() -> None:
    """A very wide shallow score: lubrication theory, w d^3 / 48."""
    depth, width = 5e-6, 5e-3
    score = leakage.triangle(depth, width)
    assert score.conductance == pytest.approx(width * depth**3 / 48, rel=2e-3)


def test_deeper_scores_leak_more() -> None:
    flows = [leakage.triangle(d, 4e-4).conductance for d in np.linspace(5e-6, 4e-4, 40)]
    assert np.all(np.diff(flows) > 0)


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
    thick = leakage.passage_flow(chip, 2e7, viscosity=5.0, density=1350.0)
    assert thick == pytest.approx(2e7 / (chip.drag * 5.0), rel=1e-3)
    thin = leakage.passage_flow(chip, 2e7, viscosity=1e-6, density=1000.0)
    orifice = math.sqrt(1 / 1.5) * 2e-3 * 60e-6 * math.sqrt(2 * 2e7 / 1000.0)
    assert thin == pytest.approx(orifice, rel=1e-3)


def test_arrays_give_what_single_numbers_give() -> None:
    worn = leakage.annulus_passage(0.038, 60e-6, 0.022)
    pressures = np.array([1e6, 1e7, 2.5e7])
    viscosities = np.array([0.05, 0.4, 2.0])
    flows = leakage.passage_flow(worn, pressures, viscosity=viscosities, density=1300.0)
    single = [
        leakage.passage_flow(worn, float(p), viscosity=float(v), density=1300.0)
        for p, v in zip(pressures, viscosities, strict=True)
    ]
    assert isinstance(single[0], float)
    np.testing.assert_allclose(flows, single, rtol=1e-14)


def test_worn_packings_are_an_annulus_over_their_height() -> None:
    worn = leakage.annulus_passage(0.038, 60e-6, 0.022, losses=0.0)
    flow = leakage.passage_flow(worn, 2e7, viscosity=0.4, density=1300.0)
    same = leakage.annulus_flow(0.038, 60e-6, length=0.022, pressure=2e7, viscosity=0.4)
    assert flow == pytest.approx(same, rel=1e-12)


def test_channel_as_a_passage_keeps_its_conductance() -> None:
    score = leakage.semicircle(1e-4)
    passage = leakage.channel_passage(score, 0.02, losses=0.0)
    flow = leakage.passage_flow(passage, 1e7, viscosity=0.4, density=1300.0)
    same = leakage.channel_flow(score, length=0.02, pressure=1e7, viscosity=0.4)
    assert flow == pytest.approx(same, rel=1e-12)
