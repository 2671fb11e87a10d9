"""Ball valves: geometry, contact and fall, by limits and second routes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.physics import valves

CONE = math.radians(45.0)


@given(d=st.floats(0.002, 0.2), half=st.floats(0.2, 1.4), width=st.floats(1e-4, 0.02),
       bore=st.floats(0.3, 0.99))  # fmt: skip
def test_seated_ball_touches_and_does_not_cut_its_seat(
    d: float, half: float, width: float, bore: float
) -> None:
    """The ball's surface stands outside the seat's metal along the whole cone."""
    hole = bore * d
    top = valves.ball_height(d, half, seat_bore=hole, seat_width=width)
    centre = top - d / 2
    along = np.linspace(0.0, width, 4001)
    radius = hole / 2 + along * math.sin(half)
    height = (along - width) * math.cos(half)
    gaps = np.hypot(radius, height - centre) - d / 2
    assert gaps.min() >= -1e-12
    assert gaps.min() <= 1e-5 * d


def test_ball_on_the_edges_of_a_seat() -> None:
    small = valves.ball_height(0.0145, CONE, seat_bore=0.014, seat_width=0.004)
    below = 0.004 * math.cos(CONE)
    assert small == pytest.approx(0.00725 + math.sqrt(0.00725**2 - 0.007**2) - below, rel=1e-12)
    with pytest.raises(BadInput, match="no larger than the hole"):
        valves.ball_height(0.014, CONE, seat_bore=0.014, seat_width=0.004)


def test_a_shim_under_the_cage_adds_its_thickness_to_the_lift() -> None:
    """Common practice, no source: shims belong on top of the cage."""
    top = valves.ball_height(0.022, CONE, seat_bore=0.014, seat_width=0.004)
    right = valves.lift(0.0018 + 0.018, top)
    wrong = valves.lift(0.0018 + 0.0005 + 0.018, top)
    assert wrong - right == pytest.approx(0.0005, rel=1e-9)


def test_line_contact_carries_its_load() -> None:
    # p_max = 2 w / (pi b): Budynas and Nisbett, Shigley's, 9th ed., eq. 3-74
    modulus = valves.contact_modulus(207e9, 0.292, 207e9, 0.292)
    width = valves.line_contact_half_width(1e5, 0.01, modulus)
    peak = valves.line_contact_stress(1e5, 0.01, modulus)
    assert peak == pytest.approx(2 * 1e5 / (math.pi * width), rel=1e-12)


@pytest.mark.parametrize("lobes", [2, 3, 5])
def test_unevenness_pressed_home_is_boussinesqs_sum_over_the_load(lobes: int) -> None:
    """Displacement under a load that varies as a cosine, summed wave by wave over the half-space
    (point load: F / (pi E* r), Johnson, Contact Mechanics, from memory)."""
    load, width, modulus, circle = 1.2e5, 90e-6, 1.6e11, 0.0156
    waves = 2 * lobes / circle
    end = (200 + 0.25) * math.tau / waves  # where a last quarter wave adds next to nothing
    x = np.concatenate([[0.0], np.geomspace(1e-8, end, 400_001)])
    across = np.cos(waves * x) / np.hypot(x, width)
    summed = 2 * np.trapezoid(across, x) * load / (math.pi * modulus)
    told = valves.pressed_round(load, width, modulus, circle=circle, lobes=lobes)
    assert told == pytest.approx(summed, rel=2e-3)


def test_line_contact_in_the_handbook_form() -> None:
    # b = sqrt(2F/(pi l) [(1-nu1^2)/E1 + (1-nu2^2)/E2] / (1/d1 + 1/d2)), plane: d2 infinite
    # (Shigley's eq. 3-73)
    softness = (1 - 0.3**2) / 200e9 + (1 - 0.22**2) / 600e9
    handbook = math.sqrt(2 * 1e5 / math.pi * softness / (1 / 0.020))
    modulus = valves.contact_modulus(200e9, 0.3, 600e9, 0.22)
    assert valves.line_contact_half_width(1e5, 0.010, modulus) == pytest.approx(handbook, rel=1e-9)


@pytest.mark.parametrize("half", [math.radians(30.0), CONE, math.radians(60.0)])
def test_seat_carries_the_pressure_on_the_ball(half: float) -> None:
    """The forces square to the cone, added up round the circle, hold the ball up."""
    load = valves.seat_line_load(2e7, 0.022, half, spring=30.0)
    circle = 0.022 * math.cos(half)
    centre = np.array([0.0, 0.0, circle / 2 * math.tan(half)])
    round_it = np.linspace(0.0, math.tau, 721)[:-1]
    touch = circle / 2 * np.stack([np.cos(round_it), np.sin(round_it), 0 * round_it], axis=1)
    inward = (centre - touch) / np.linalg.norm(centre - touch, axis=1)[:, None]
    axial = (load * inward[:, 2]).mean() * math.pi * circle
    assert axial == pytest.approx(math.pi / 4 * circle**2 * 2e7 + 30.0, rel=1e-12)


@pytest.mark.parametrize("degrees", [20.0, 30.0, 60.0])
def test_the_jet_leaves_along_the_cone(degrees: float) -> None:
    # Momentum: 2 Cd A p along the cone's slope, of which cos(alpha) pulls the ball back (Merritt,
    # as in the function's docstring, from memory)
    half = math.radians(degrees)
    seat = valves.Seat(0.022, half, 0.022 * math.cos(half) - 0.001, 0.004)
    still, jet = (valves.opening_force(seat, 1e5, area) for area in (0.0, 4e-5))
    assert still == pytest.approx(1e5 * math.pi / 4 * (0.022 * math.cos(half)) ** 2, rel=1e-12)
    slope = np.array([math.sin(half), math.cos(half)])  # away from the axis, and up
    assert still - jet == pytest.approx(2 * 0.7 * 4e-5 * 1e5 * slope[1], rel=1e-9)


def test_slow_fall_is_stokes_law() -> None:
    speed = valves.fall_speed(0.001, 6500.0, density=1000.0, viscosity=50.0)
    stokes = 0.001**2 * 6500.0 * valves.GRAVITY / (18 * 50.0)
    assert speed == pytest.approx(stokes, rel=1e-4)


def test_wall_slows_a_slow_ball_by_its_factor() -> None:
    free = valves.fall_speed(0.022, 6500.0, density=1300.0, viscosity=500.0)
    walled = valves.fall_speed(0.022, 6500.0, density=1300.0, viscosity=500.0, tube=0.044)
    assert free / walled == pytest.approx(valves.wall_factor(0.5), rel=1e-3)


def test_wall_factor_against_faxen_where_faxen_holds() -> None:
    # 1/(1 - 2.104 x + 2.09 x^3 - 0.95 x^5): Faxen, as in Happel and Brenner (from memory)
    for x in (0.02, 0.05, 0.1, 0.2):
        faxen = 1 / (1 - 2.104 * x + 2.09 * x**3 - 0.95 * x**5)
        assert valves.wall_factor(x) == pytest.approx(faxen, rel=1e-3)


def test_spring_and_thin_liquid_bring_the_ball_back_sooner() -> None:
    liquid = {"density": 1300.0, "viscosity": 1.0, "tube": 0.03}
    plain = valves.fall_speed(0.022, 6500.0, **liquid)
    sprung = valves.fall_speed(0.022, 6500.0, **liquid, spring=20.0)
    thin = valves.fall_speed(0.022, 6500.0, **{**liquid, "viscosity": 0.1})
    assert sprung > plain
    assert thin > plain


def test_balls_that_float_or_do_not_fit_are_refused() -> None:
    with pytest.raises(BadInput, match="floats"):
        valves.fall_speed(0.022, -10.0, density=1300.0, viscosity=1.0)
    with pytest.raises(BadInput, match="smaller than the tube"):
        valves.wall_factor(1.0)


SEATS = st.builds(
    valves.Seat, st.floats(0.01, 0.05), st.floats(0.4, 1.2), st.floats(0.004, 0.0095),
    st.floats(0.0005, 0.006),
)  # fmt: skip


def _narrowest(seat: valves.Seat, rise: float) -> float:
    """Second route: every frustum square to the ball, from 20,001 places of the cone."""
    along = np.linspace(0.0, seat.width, 20_001)
    radius = seat.bore / 2 + along * math.sin(seat.half_angle)
    below = (along - seat.width) * math.cos(seat.half_angle)
    top = valves.ball_height(seat.ball_diameter, seat.half_angle, seat_bore=seat.bore,
                             seat_width=seat.width)  # fmt: skip
    centre = top - seat.ball_diameter / 2 + rise
    away = np.hypot(radius, centre - below)
    on_ball = radius * seat.ball_diameter / 2 / away
    slant = away - seat.ball_diameter / 2
    return float(np.min(math.pi * (radius + on_ball) * slant))


@given(SEATS, st.floats(1e-5, 0.03))
def test_opening_is_the_narrowest_of_all_frusta_or_the_hole(seat: valves.Seat, rise: float) -> None:
    hole = math.pi / 4 * seat.bore**2
    expected = min(_narrowest(seat, rise), hole)
    assert valves.seat_opening(seat, rise) == pytest.approx(expected, rel=1e-6)


@given(SEATS)
def test_opening_rises_without_a_step_from_nought_to_the_hole(seat: valves.Seat) -> None:
    rises = np.linspace(0.0, 0.05, 2001)
    areas = valves.seat_opening(seat, rises)
    hole = math.pi / 4 * seat.bore**2
    assert areas[0] == 0.0
    assert areas[-1] == pytest.approx(hole)
    steps = np.diff(areas)
    assert np.all(steps >= -1e-9 * hole)
    # no ring grows faster than the largest frustum's edge
    assert np.max(steps) <= math.pi * 2 * (seat.bore + 2 * seat.width) * rises[1]


def test_opening_of_a_small_lift_is_the_curtain() -> None:
    """A = pi (s + a) h, h = X cos t, s = a + X cos^2 t, a the contact radius.

    MapleSim help, Modelon Hydraulics, PoppetLiftCone; at 45 degrees its law is the frustum from the
    ball's lifted contact point square on to the cone.
    """
    seat = valves.Seat(0.022, CONE, 0.014, 0.004)
    a = 0.011 * math.cos(CONE)
    for rise in (1e-6, 1e-5, 1e-4):
        curtain = math.pi * (2 * a + rise * math.cos(CONE) ** 2) * rise * math.cos(CONE)
        assert valves.seat_opening(seat, rise) == pytest.approx(curtain, rel=100 * rise)
        assert valves.seat_opening(seat, rise) <= curtain


def test_a_ball_is_cracked_by_its_pull_over_its_circle_and_floats_where_forces_balance() -> None:
    seat = valves.Seat(0.022, CONE, 0.014, 0.004)
    circle = math.pi / 4 * valves.contact_diameter(0.022, CONE) ** 2
    pressure = 20.0 / circle
    assert valves.opening_force(seat, pressure, 0.0) == pytest.approx(20.0)
    rise = valves.floating_rise(seat, 1e-4, pull=5.0, lift=0.004, density=1300.0)
    area = valves.seat_opening(seat, rise)
    loss = valves.opening_loss(1e-4, area, density=1300.0)
    assert valves.opening_force(seat, loss, area) == pytest.approx(5.0, rel=1e-6)
    assert valves.floating_rise(seat, 2e-3, pull=5.0, lift=0.004, density=1300.0) == 0.004
    assert valves.floating_rise(seat, 0.0, pull=5.0, lift=0.004, density=1300.0) == 0.0
    rises = [valves.floating_rise(seat, q, pull=5.0, lift=0.004, density=1300.0)
             for q in (1e-6, 1e-5, 1e-4, 3e-4)]  # fmt: skip
    assert rises == sorted(rises)


def test_shear_under_a_line_contact_is_greatest_where_it_says() -> None:
    # principal stresses on the axis below a line contact: Johnson, Contact Mechanics, eq. 4.46
    depth = np.linspace(0, 4, 400_001)
    root = np.sqrt(1 + depth**2)
    across = -((1 + 2 * depth**2) / root - 2 * depth)
    down = -1 / root
    shear = np.abs(across - down) / 2
    stress, place = valves.line_contact_shear(1.0, 1.0)
    assert float(np.max(shear)) == pytest.approx(stress, rel=2e-3)
    assert float(depth[np.argmax(shear)]) == pytest.approx(place, rel=1e-3)
