from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.drawings.hatching import hatch

SQUARE = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]


@pytest.mark.parametrize("rising", [True, False])
def test_lines_lie_at_45_degrees(rising: bool) -> None:
    """Section hatching at 45 degrees to the outlines, ISO 128-3 (from memory)."""
    lines = hatch(SQUARE, spacing=2, rising=rising)
    assert lines
    for (x1, y1), (x2, y2) in lines:
        assert abs(y2 - y1) == pytest.approx(x2 - x1)
        assert ((y2 < y1) if rising else (y2 > y1)) is True


def test_neighbouring_lines_stand_one_spacing_apart() -> None:
    lines = hatch(SQUARE, spacing=1.5, rising=True)
    offsets = sorted((x + y) / math.sqrt(2) for (x, y), _ in lines)
    gaps = [b - a for a, b in itertools.pairwise(offsets)]
    assert gaps == pytest.approx([1.5] * len(gaps))


@given(st.floats(0.5, 5), st.booleans())
def test_hatched_length_times_spacing_is_the_area(spacing: float, rising: bool) -> None:
    """Cavalieri's principle: parallel chords times their distance tend to the area."""
    wide = [(x * 20, y * 20) for x, y in SQUARE]
    lines = hatch(wide, spacing=spacing, rising=rising)
    length = sum(math.dist(a, b) for a, b in lines)
    assert length * spacing == pytest.approx(200 * 200, rel=0.06)


def test_a_hole_stays_white() -> None:
    hole = [(3.0, 3.0), (7.0, 3.0), (7.0, 7.0), (3.0, 7.0)]
    for (x1, y1), (x2, y2) in hatch(SQUARE, hole, spacing=1):
        middle = (x1 + x2) / 2, (y1 + y2) / 2
        assert not (3.01 < middle[0] < 6.99 and 3.01 < middle[1] < 6.99)


def test_no_spacing_and_no_outline_give_no_lines() -> None:
    assert hatch(SQUARE, spacing=0) == []
    assert hatch() == []
