"""Readings as likelihoods."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.fault_finding.evidence import evidence, steady_time
from wetend.errors import BadInput
from wetend.pump.readings import CheckReadings
from wetend.units.fields import read


def test_error_shrinks_with_the_root_of_the_strokes() -> None:
    few, many = steady_time([1.4] * 4, 0.1)[1], steady_time([1.4] * 16, 0.1)[1]
    assert few == pytest.approx(math.sqrt(2) * 0.1 / 2)
    assert many == pytest.approx(few / 2)


def test_a_missed_beat_does_not_move_the_mean() -> None:
    clean = [1.41, 1.38, 1.43, 1.40, 1.39, 1.42]
    assert steady_time([*clean, 2.83], 0.03)[0] == pytest.approx(np.mean(clean))


@given(st.lists(st.floats(1e-6, 3599), min_size=1, max_size=200), st.floats(1e-6, 2))
def test_mean_lies_among_the_strokes(times: list[float], spread: float) -> None:
    mean, error = steady_time(times, spread)
    assert min(times) * (1 - 1e-9) <= mean <= max(times) * (1 + 1e-9)
    assert 0 < error < math.inf


def test_what_was_read_is_what_is_weighed() -> None:
    readings = CheckReadings(
        up_times=(1.4, 1.5), creep_down=0.0, wet_cup="clean", bucket_volume=0.01, bucket_cycles=100
    )
    assert [r.what.key for r in evidence(readings)] == [
        "up_time", "creep_down", "cycle_volume", "wet_cup",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "readings",
    [CheckReadings(), CheckReadings(temperature=290.0), CheckReadings(bucket_volume=0.01)],
)
def test_nothing_read(readings: CheckReadings) -> None:
    with pytest.raises(BadInput, match="No reading was given"):
        evidence(readings)


@pytest.mark.parametrize("time", ["0", "-1", "7200"])
def test_an_impossible_time_is_named(time: str) -> None:
    with pytest.raises(BadInput, match="Up-stroke times must be") as caught:
        read(CheckReadings, {"up_times": f"1.4, {time}"})
    assert caught.value.problems[0].field == "up_times.1"
