"""How large an error counts as one at a tolerance of one."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.physics.motion import layout as at
from wetend.physics.motion.instant import spaces
from wetend.physics.motion.start import at_bottom
from wetend.physics.motion.weights import weigh

CONTENTS = ((at.MS, 0), (at.M1, 3), (at.M2, 6))
"""Of head, chamber below and above: the state's place, and its pressure's among ``spaces``."""


@pytest.fixture
def state(pump):
    start = at_bottom(pump(), trips=2)
    y, p = np.array(start.y, dtype=float), np.array(start.p, dtype=float)
    weights = np.full(len(y), np.nan)
    weigh(y, p, weights)
    return y, p, weights


def test_every_state_has_a_weight_of_its_own(state):
    *_, weights = state
    assert np.isfinite(weights).all()
    assert (weights > 0).all()


@pytest.mark.parametrize(("content", "pressure"), CONTENTS)
def test_a_pressure_counts_against_itself_and_an_atmosphere(state, content, pressure):
    """An error of a thousandth of the weight moves it by that of 3 % and one bar, or less where
    two hundredths of the content are less.
    """
    y, p, weights = state
    before = spaces(y, p)[pressure]
    more = y.copy()
    more[content] += 1e-3 * weights[content]
    moved = (spaces(more, p)[pressure] - before) / 1e-3
    assert moved <= 1.01 * (0.03 * before + 1e5)
    least = min(0.03 * before + 1e5, 0.02 * y[content] * spaces(y, p)[pressure + 1])
    assert moved == pytest.approx(least, rel=0.05)
