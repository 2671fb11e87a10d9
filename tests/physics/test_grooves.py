"""Grooves of any profile by finite elements, against every closed form at hand."""

from __future__ import annotations

import math

import pytest

from wetend.errors import BadInput
from wetend.physics.grooves import arc_groove, ellipse_groove, parabola_groove


def test_semicircle_exactly_both_ways() -> None:
    # Q = (pi/8 - 1/pi) r^4 dp/(mu L): torsion of a half-round bar over four (Roark and Young, from
    # memory)
    for found in (arc_groove(1e-4, 2e-4), ellipse_groove(1e-4, 2e-4)):
        assert found.conductance == pytest.approx((math.pi / 8 - 1 / math.pi) * 1e-16, rel=1e-3)


def test_shallow_grooves_are_slots_of_changing_depth() -> None:
    # lubrication: the mean cube of the depth over 12; parabola 16/35, arc the same when shallow,
    # half ellipse 3 pi/16
    for make, mean in ((parabola_groove, 16 / 35), (arc_groove, 16 / 35),
                       (ellipse_groove, 3 * math.pi / 16)):  # fmt: skip
        found = make(2e-6, 1e-3)
        assert found.conductance == pytest.approx(1e-3 * (2e-6) ** 3 * mean / 12, rel=2e-3)


def test_an_arc_is_no_deeper_than_half_its_width() -> None:
    with pytest.raises(BadInput, match="half ellipse"):
        arc_groove(2e-4, 2e-4)
    with pytest.raises(BadInput, match="more than zero"):
        ellipse_groove(0.0, 1e-3)
