from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.drawings import clock

ANGLES = st.floats(-20, 20)


@pytest.mark.parametrize(("degrees", "x", "y"), [(0, 0, -1), (90, 1, 0), (180, 0, 1), (270, -1, 0)])
def test_clock_directions_run_clockwise_from_12(degrees: float, x: float, y: float) -> None:
    """A clock face: 3 at the right, 6 below, 9 at the left."""
    assert clock.at((0, 0), 1, math.radians(degrees)) == pytest.approx((x, y), abs=1e-12)


@given(ANGLES, st.floats(0, 8), st.none() | ANGLES, st.none() | st.floats(0, 3.2), st.booleans())
def test_any_direction_and_spread_is_drawn_on_its_sheet(
    read_back: Callable[[str], Any],
    angle: float,
    spread: float,
    target: float | None,
    within: float | None,
    by_hand: bool,
) -> None:
    drawn = read_back(
        clock.face(angle, angle - spread, angle + spread, target, within, set_by_hand=by_hand)
    )
    assert drawn.stays_inside()
    assert {"12", "3", "6", "9", "seen from below"} <= set(drawn.texts)


def test_the_face_says_in_words_what_it_draws(read_back: Callable[[str], Any]) -> None:
    drawn = read_back(
        clock.face(math.radians(182.5), math.radians(170), math.radians(195), math.pi, 0.35)
    )
    said = " ".join(drawn.texts)
    assert "elbow 6:05" in said
    assert "5:40 to 6:30" in said
    assert "wanted 6:00" in said
    assert "6:05" in (drawn.root[0].text or "")


def test_a_clamp_ring_elbow_is_said_to_be_set_by_hand(read_back: Callable[[str], Any]) -> None:
    drawn = read_back(clock.face(1.0, 0.5, 1.5, math.pi, 0.3, set_by_hand=True))
    assert any("by hand" in text for text in drawn.texts)
    assert "elbow 6:00" in drawn.texts
