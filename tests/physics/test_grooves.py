"""Grooves of any profile by finite elements, against every closed form at hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.physics.channels import rectangle, semicircle, triangle
from wetend.physics.grooves import arc_groove, ellipse_groove, groove, parabola_groove


@pytest.mark.parametrize("aspect", [0.02, 0.1, 0.5, 1.0, 3.0])
def test_rectangle_by_series(aspect: float) -> None:
    found = groove([0.0, 0.5, 1.0], [aspect] * 3)
    exact = rectangle(aspect, 1.0)
    within = 2e-4 if aspect >= 0.1 else 2e-3  # steep flanks of a flat groove: few elements there
    assert found.conductance == pytest.approx(exact.conductance, rel=within)
    assert found.peak == pytest.approx(exact.peak, rel=2e-3)
    assert found.edge == pytest.approx(exact.edge)


@pytest.mark.parametrize("depth", [0.2, 0.5, math.sqrt(3) / 2, 2.0])
def test_triangle_by_its_table(depth: float) -> None:
    found = groove([-0.5, 0.0, 0.5], [0.0, depth, 0.0])
    exact = triangle(depth, 1.0)
    assert found.poiseuille == pytest.approx(exact.poiseuille, rel=1e-3)
    assert found.peak == pytest.approx(exact.peak, rel=4e-3)  # the table is read by straight lines


def test_semicircle_exactly_three_ways() -> None:
    exact = semicircle(1e-4)
    for found in (arc_groove(1e-4, 2e-4), ellipse_groove(1e-4, 2e-4)):
        assert found.conductance == pytest.approx(exact.conductance, rel=1e-3)
        assert found.poiseuille == pytest.approx(exact.poiseuille, rel=1e-4)
        assert found.peak == pytest.approx(exact.peak, rel=1e-3)


def test_shallow_grooves_are_slots_of_changing_depth() -> None:
    # lubrication: the mean cube of the depth over 12; parabola 16/35, arc the same when shallow,
    # half ellipse 3 pi/16
    for make, mean in ((parabola_groove, 16 / 35), (arc_groove, 16 / 35),
                       (ellipse_groove, 3 * math.pi / 16)):  # fmt: skip
        found = make(2e-6, 1e-3)
        assert found.conductance == pytest.approx(1e-3 * (2e-6) ** 3 * mean / 12, rel=2e-3)


@costly(8)
@given(st.lists(st.floats(1e-6, 3e-4), min_size=1, max_size=20))
def test_any_measured_profile_lies_between_its_bounds(depths: list[float]) -> None:
    places = np.linspace(0.0, 1e-3, len(depths) + 2)
    found = groove(places, [0.0, *depths, 0.0])
    inside = rectangle(max(depths), 1e-3)
    assert 0 < found.conductance < inside.conductance
    assert found.peak > 1.5
    deeper = groove(places, [0.0, *(d * 1.2 for d in depths), 0.0])
    assert deeper.conductance > found.conductance


def test_size_does_not_change_the_shape() -> None:
    small, large = groove([0, 1e-4, 3e-4], [0, 5e-5, 0]), groove([0, 1, 3], [0, 0.5, 0])
    assert small.poiseuille == pytest.approx(large.poiseuille, rel=1e-12)
    assert small.conductance / 1e-16 == pytest.approx(large.conductance, rel=1e-9)


@pytest.mark.parametrize(
    ("places", "depths", "sentence"),
    [
        ([0.0, 1.0], [0.0, 0.0], "three places"),
        ([0.0, 1.0, 0.5], [0.0, 1.0, 0.0], "must rise"),
        ([0.0, 1.0, 2.0], [0.0, 0.0, 0.0], "more than zero"),
        ([0.0, float("nan"), 2.0], [0.0, 1.0, 0.0], "must rise"),
    ],
)
def test_profiles_that_can_not_be_are_refused(
    places: list[float], depths: list[float], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        groove(places, depths)


def test_an_arc_is_no_deeper_than_half_its_width() -> None:
    with pytest.raises(BadInput, match="half ellipse"):
        arc_groove(2e-4, 2e-4)
    with pytest.raises(BadInput, match="more than zero"):
        ellipse_groove(0.0, 1e-3)
