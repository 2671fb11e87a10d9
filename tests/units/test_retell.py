"""Sentences said again for those who read other units."""

from __future__ import annotations

import pytest

from wetend.units.retell import retell


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        # factors: NIST SP 811 (2008), appendix B.8: psi 6894.757 Pa, inch 25.4 mm, lbf 4.448222 N,
        # lbf ft 1.355818 N m, US gallon 3.785412 L
        ("It reads 200 bar.", "It reads 200 bar (2901 psi)."),
        ("between 120 and 180 bar", "between 120 and 180 bar (1740 and 2611 psi)"),
        ("a lift of 3.10 mm, or 4 mm", "a lift of 3.10 mm (0.122 in), or 4 mm (0.16 in)"),
        ("pull 280 N on 0.50 m", "pull 280 N (62.9 lbf) on 0.50 m (1.6 ft)"),
        ("tighten to 140 N·m", "tighten to 140 N·m (103 lbf ft)"),
        ("after 1000 L", "after 1000 L (264 gal)"),
        ("worn 25.4 µm", "worn 25.4 µm (1.00 thou)"),
    ],
)
def test_a_quantity_is_followed_by_the_readers_own(ours: str, theirs: str):
    assert retell(ours, "imperial") == theirs
    assert retell(ours, "metric") == ours


@pytest.mark.parametrize(
    "text",
    ["8 °C warmer", "20 mL/min", "2 cycles/min", "step 3 of 7", "M64 thread", "Re < 2000",
     "5 Newton", "4 mm/s", "0.5 mPa·s²", "size 12mmx"],
)  # fmt: skip
def test_what_is_no_quantity_of_ours_is_left_alone(text: str):
    assert retell(text, "imperial") == text
