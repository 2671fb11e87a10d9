"""Simulation-based calibration of the belief: parameters from the prior come back with even ranks.

At length, part by part: ``python benchmarks/life_calibration.py``; here some of each part.
"""

from __future__ import annotations

import life_calibration
import numpy as np
import pytest

from wetend.pump.usage import LIFE_PARTS
from wetend.stats.life.belief import ENOUGH

COUNT = 16
"""Depots a part: 160 ranks of each kind, 16 in each tenth."""


@pytest.mark.slow
def test_ranks_are_even_and_rest_on_enough_draws() -> None:
    found = [life_calibration.ranks(part, 500 + n) for part in LIFE_PARTS for n in range(COUNT)]
    assert min(effective for _, effective in found) > ENOUGH
    for name in life_calibration.RANKED:
        # one in a thousand of right calculations would be stopped; the seed is fixed
        assert life_calibration.evenness([each[name] for each, _ in found]) > 0.001


def test_uneven_ranks_are_seen() -> None:
    """A posterior half as wide as it should be gives ranks at both ends, one off centre at one."""
    rng = np.random.default_rng(1)
    truth, draws = rng.standard_normal(160), 0.5 * rng.standard_normal((160, 999))
    narrow = [float((d < t).mean()) for d, t in zip(draws, truth, strict=True)]
    assert life_calibration.evenness(narrow) < 1e-6
    assert life_calibration.evenness(list(rng.uniform(size=160) ** 2)) < 1e-4
    assert life_calibration.evenness(list(rng.uniform(size=160))) > 0.01
