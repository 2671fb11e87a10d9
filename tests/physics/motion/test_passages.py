"""A way past, held by drag alone at a trickle and by inertia alone at a rush."""

from __future__ import annotations

import math

import pytest

from wetend.physics.motion.passages import passage

FAST = 2e-7


@pytest.mark.parametrize("drop", [0.3, 1.0, -1.0])
def test_an_opening_without_drag_is_given_some_at_a_trickle(drop: float) -> None:
    """Else its slope at rest were endless: as if the first 25 Pa (5 squared) were lost by drag."""
    flow, slope, *_ = passage(drop, 1.0, FAST, 1.0)
    assert flow == pytest.approx(FAST * drop / 5.0, rel=1e-3)
    assert slope == pytest.approx(FAST / 5.0, rel=1e-2)


@pytest.mark.parametrize("drop", [1e5, 1e6, 2e7])
def test_at_a_rush_it_is_an_orifice(drop: float) -> None:
    flow, slope, *_ = passage(drop, 1.0, FAST, 1.0)
    assert flow == pytest.approx(FAST * math.sqrt(drop), rel=0.01)
    assert slope == pytest.approx(flow / (2 * drop), rel=0.02)


def test_what_is_shut_lets_nothing_past() -> None:
    assert passage(1e6, 0.0, FAST, 1.0) == (0.0,) * 4
    assert passage(1e6, 1e-12, 0.0, 1.0) == (0.0,) * 4
