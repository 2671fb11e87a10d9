"""A step of level: found where it is, and not where it is not."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.stats.signal.change_point import step

VALUES = st.lists(st.floats(-1e6, 1e6), min_size=4, max_size=30)


@given(VALUES)
def test_no_split_leaves_less(values: list[float]) -> None:
    found = step(values)
    x = np.array(values)
    splits = [
        float(((x[:k] - x[:k].mean()) ** 2).sum() + ((x[k:] - x[k:].mean()) ** 2).sum())
        for k in range(2, x.size - 1)
    ]
    assert found.rss == pytest.approx(min(splits), rel=1e-6, abs=1e-3)


def test_noise_alone_rarely_pays_for_a_step() -> None:
    rng = np.random.default_rng(1)
    gains = [step(rng.standard_normal(60)).gain for _ in range(200)]
    assert np.mean(np.array(gains) > 0) < 0.25
    assert np.mean(np.array(gains) > 10) < 0.02


def test_too_few_values_are_refused() -> None:
    with pytest.raises(BadInput, match="at least 4"):
        step([1.0, 2.0, 3.0])


def test_alike_values_gain_nothing() -> None:
    assert step([2.0] * 10).gain == 0.0
