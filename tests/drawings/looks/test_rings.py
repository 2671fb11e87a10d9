"""A soft ring's looks are drawn on their tile, lower where less is left."""

from __future__ import annotations

from any_pump import accepted_pumps
from examples import costly
from hypothesis import given
from svg_points import off_sheet

from wetend.advice.rebuild.soft_rings import ring_looks
from wetend.drawings.looks.rings import ring_picture
from wetend.pump.description import Pump
from wetend.pump.toml import demo_pump


def test_each_says_its_magnification_and_no_two_are_alike() -> None:
    """Of a ring of 2 mm drawn 62 px high, a px being 1/96 in: 62 * 0.2646 / 2 = 8.2."""
    drawn = [ring_picture(look) for look in ring_looks(demo_pump("quay-air"), 20e-6)][:4]
    assert all("ring ×8" in svg for svg in drawn)
    assert len(set(drawn)) == 4


@costly(20)
@given(pump=accepted_pumps())
def test_any_ring_stays_on_its_tile(pump: Pump) -> None:
    for look in ring_looks(pump, 20e-6):
        assert off_sheet(ring_picture(look)) == [], look.key
