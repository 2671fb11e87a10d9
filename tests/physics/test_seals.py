"""Rings and packings: geometry by a second route."""

from __future__ import annotations

import math

import pytest

from wetend.errors import BadInput
from wetend.physics import seals


@pytest.mark.parametrize("stretch", [0.0, 0.02, 0.05, -0.03])
def test_stretched_ring_keeps_its_volume(stretch: float) -> None:
    section, length = 0.00353, 0.06
    free = seals.stretched_section(section, stretch)
    before = math.pi / 4 * section**2 * length
    after = math.pi / 4 * free**2 * length * (1 + stretch)
    assert after == pytest.approx(before, rel=1e-12)


def test_squeeze_and_fill_share_the_same_stretched_section() -> None:
    squeeze = seals.ring_squeeze(0.00533, 0.0043, stretch=0.03)
    fill = seals.ring_fill(0.00533, 0.0043, 0.0071, stretch=0.03)
    thinned = 0.0043 / (1 - squeeze)
    assert fill == pytest.approx(math.pi / 4 * thinned**2 / (0.0043 * 0.0071), rel=1e-12)
    assert seals.ring_squeeze(0.004, 0.0043) < 0


def test_a_ring_cannot_be_shortened_to_nothing() -> None:
    with pytest.raises(BadInput):
        seals.stretched_section(0.003, -1.0)


def test_wear_grows_with_load_and_way_and_turns_round() -> None:
    depth = seals.wear_depth(3e-17, 1.5e7, 2e5)
    assert seals.wear_depth(3e-17, 3e7, 1e5) == pytest.approx(depth, rel=1e-12)
    assert seals.specific_wear(depth, 1.5e7, 2e5) == pytest.approx(3e-17, rel=1e-12)
    with pytest.raises(BadInput, match="zero"):
        seals.specific_wear(1e-5, 0.0, 1e5)


def test_a_set_is_tight_until_its_take_up_is_used() -> None:
    gaps = [seals.packing_gap(d, 25e-6) for d in (0.0, 25e-6, 26e-6, 50e-6)]
    assert gaps == pytest.approx([0.0, 0.0, 1e-6, 25e-6])
