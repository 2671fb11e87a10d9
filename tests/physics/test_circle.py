"""Circle fits: exact shapes, a second route, and points that are no circle."""

from __future__ import annotations

import math

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import least_squares

from wetend.errors import BadInput, NoAnswer
from wetend.physics import circle

NIST_CIR2D8 = (
    [-124.61539, -127.82836, -132.22919, -135.75873, -136.76179, -134.77699, -130.72708,
     -126.50977, -124.09859],
    [147.25256, 150.27059, 150.51569, 147.87686, 143.58694, 139.65512, 137.91441, 139.1895,
     142.87694],
)  # fmt: skip


def _lobed(lobes: int, points: int = 720) -> tuple[list[float], list[float]]:
    turn = np.arange(points) * 2 * math.pi / points
    radius = 0.011 + 5e-6 * np.cos(lobes * turn)
    return (radius * np.cos(turn)).tolist(), (radius * np.sin(turn)).tolist()


@pytest.mark.parametrize("lobes", [2, 3, 5, 8])
def test_a_lobed_part_is_out_of_round_by_twice_its_wave(lobes: int) -> None:
    """Exact geometry: r = R + a cos(n t), n of 2 or more, centres at the origin, width 2a."""
    x, y = _lobed(lobes)
    for fit in (circle.least_squares_circle(x, y), circle.minimum_zone_circle(x, y)):
        assert fit.roundness == pytest.approx(1e-5, rel=1e-6)
        assert math.hypot(fit.x, fit.y) < 1e-10


def test_minimum_zone_is_narrower_and_agrees_with_two_other_routes() -> None:
    # 0.00449853: our own linear programme and a many-start simplex, an inner check
    ring = circle.minimum_zone_circle(*NIST_CIR2D8)
    assert ring.roundness == pytest.approx(0.00449853, abs=2e-8)
    assert ring.roundness < circle.least_squares_circle(*NIST_CIR2D8).roundness


def test_minimum_zone_touches_two_points_inside_and_two_outside() -> None:
    """Optimality: at least two points on each circle, in turn inner and outer as seen round."""
    x, y = (np.asarray(part) for part in NIST_CIR2D8)
    ring = circle.minimum_zone_circle(*NIST_CIR2D8)
    away = np.hypot(x - ring.x, y - ring.y)
    outer = np.flatnonzero(away > away.max() - 1e-8)
    inner = np.flatnonzero(away < away.min() + 1e-8)
    assert len(outer) >= 2
    assert len(inner) >= 2
    turn = np.arctan2(y - ring.y, x - ring.x)
    kinds = ["o" if i in outer else "i"
             for i in sorted([*outer, *inner], key=lambda i: turn[i])]  # fmt: skip
    assert "".join(kinds) in ("oioi", "ioio")


@costly(10)
@given(seed=st.integers(0, 10_000), points=st.integers(5, 40))
def test_least_squares_agrees_with_a_general_solver(seed: int, points: int) -> None:
    random = np.random.default_rng(seed)
    turn = random.uniform(0, 2 * math.pi, points)
    x = 0.3 + 0.02 * np.cos(turn) + random.normal(0, 2e-5, points)
    y = -0.1 + 0.02 * np.sin(turn) + random.normal(0, 2e-5, points)
    ours = circle.least_squares_circle(x.tolist(), y.tolist())
    other = least_squares(
        lambda p: np.hypot(x - p[0], y - p[1]) - p[2], [ours.x, ours.y, ours.radius],
        xtol=1e-15, ftol=1e-15, gtol=1e-15,
    ).x  # fmt: skip
    assert [ours.x, ours.y, ours.radius] == pytest.approx(list(other), abs=2e-9)
    assert circle.minimum_zone_circle(x.tolist(), y.tolist()).roundness <= ours.roundness


@pytest.mark.parametrize("arc", [20.0, 40.0, 90.0])
def test_a_short_arc_is_fitted_as_well(arc: float) -> None:
    """Where the first, algebraic circle is far too small: no other circle near is closer."""
    random = np.random.default_rng(11)
    turn = np.radians(np.linspace(0, arc, 30))
    x = 0.02 * np.cos(turn) + random.normal(0, 5e-5, 30)
    y = 0.02 * np.sin(turn) + random.normal(0, 5e-5, 30)
    ours = circle.least_squares_circle(x.tolist(), y.tolist())
    other = least_squares(
        lambda p: np.hypot(x - p[0], y - p[1]) - p[2], [0.0, 0.0, 0.02],
        xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale=0.01,
    ).x  # fmt: skip
    assert [ours.x, ours.y, ours.radius] == pytest.approx(list(other), abs=1e-7)


def test_far_from_the_origin_and_exactly_round() -> None:
    turn = np.arange(7)
    x, y = 5.0 + 0.01 * np.cos(turn), 3.0 + 0.01 * np.sin(turn)
    fit = circle.minimum_zone_circle(x.tolist(), y.tolist())
    assert fit.diameter == pytest.approx(0.02, rel=1e-9)
    assert fit.roundness < 1e-14


def test_points_that_make_no_circle_are_refused() -> None:
    with pytest.raises(NoAnswer, match="straight line"):
        circle.least_squares_circle([0, 1, 2, 3], [0, 2, 4, 6])
    with pytest.raises(NoAnswer, match="straight line"):
        circle.least_squares_circle([1, 1, 1], [2, 2, 2])
    with pytest.raises(BadInput, match="three points"):
        circle.minimum_zone_circle([0, 1], [0, 1])
    with pytest.raises(BadInput, match="ordinary number"):
        circle.least_squares_circle([0, 1, math.nan], [0, 1, 5])
