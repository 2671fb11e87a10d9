"""Where balls leave seat and stop, and where the rod lets go."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.physics.motion import layout as at
from wetend.physics.motion.instant import PISTON, rod_force, spaces
from wetend.physics.motion.start import at_bottom
from wetend.physics.motion.turns import guards


@pytest.fixture
def state(pump):
    """Half-way up, the foot ball off its seat and the piston ball on it."""
    start = at_bottom(pump(), trips=2)
    y, p = np.array(start.y, dtype=float), np.array(start.p, dtype=float)
    mode = np.array(start.mode)
    y[at.X], y[at.V] = 0.04, 0.05
    mode[at.M_WAY], mode[at.M_PISTON], mode[at.M_FOOT] = 1, at.SEATED, at.FREE
    return y, p, mode


def guarded(y, p, mode, rod: int, slip: int = 1):
    mode[at.M_ROD], mode[at.M_SLIP] = rod, slip
    found = np.zeros(at.GUARDS)
    guards(y, p, mode, found)
    return found


def test_the_piston_ball_feels_its_pistons_acceleration_and_only_where_it_moves(state) -> None:
    """D'Alembert: in a piston that speeds up a ball weighs more by its mass less the liquid's."""
    y, p, mode = state
    sliding = guarded(y, p, mode, at.SLIDING)[at.G_PISTON_SEAT]
    stuck = guarded(y, p, mode, at.STUCK)[at.G_PISTON_SEAT]
    pressures = spaces(y, p)
    net, _ = rod_force(y, p, mode, pressures[3], pressures[6])
    speeding = (net - p[at.P_FRICTION]) / p[at.P_MASS]
    assert abs(speeding) > 1e-3
    assert sliding - stuck == pytest.approx(p[PISTON + at.B_SWIM] * speeding, rel=1e-6)
