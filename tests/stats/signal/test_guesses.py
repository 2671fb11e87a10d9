"""Guesses of two stroke times from how a signal agrees with itself."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.stats.signal.guesses import stroke_guesses

STEP = 0.01


def turns(first: float, second: float, seconds: float = 40.0, seed: int = 2) -> np.ndarray:
    """A bump at each turn, in a little noise."""
    times = np.cumsum([0.3, *[first, second] * int(seconds / (first + second))])
    t = np.arange(0.0, seconds, STEP)
    bumps = np.exp(-(((t[:, None] - times[None, :]) / 0.04) ** 2)).sum(axis=1)
    noise = np.random.default_rng(seed).normal(0.0, 0.05, t.size)
    return np.asarray(bumps + noise, dtype=float)


@pytest.mark.parametrize("lengths", [(1.3, 1.0), (0.7, 1.6), (2.0, 0.8), (1.1, 1.1)])
def test_the_true_two_times_are_among_the_guesses_to_two_samples(lengths) -> None:
    found = stroke_guesses(turns(*lengths), STEP)
    best = min(max(abs(a - min(lengths)), abs(b - max(lengths))) for a, b in map(sorted, found))
    assert best <= 0.04
    even = sum(lengths) / 2
    assert any(abs(a - even) < 0.04 and abs(b - even) < 0.04 for a, b in found)


def test_a_record_too_short_for_three_cycles_gives_none() -> None:
    assert stroke_guesses(np.ones(20), STEP) == []
