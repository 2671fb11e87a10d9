"""Readings as likelihoods."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.diagnosis.evidence import evidence, steady_time
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


def test_strokes_tapped_in_a_row_tell_pace_better_than_either_stroke() -> None:
    """Second route: many rows of taps drawn. Their ends share the turns, so the spread of the pace
    shrinks with the number of cycles, and that of the rhythm with its root.
    """
    rng, count, tap, stroke = np.random.default_rng(3), 8, 0.05, 1.4
    turns = stroke * np.arange(2 * count + 1) + rng.normal(0.0, tap, (4000, 2 * count + 1))
    times = np.diff(turns, axis=1)
    up, down = times[:, ::2].mean(axis=1), times[:, 1::2].mean(axis=1)
    readings = CheckReadings(up_times=(stroke,) * 8, down_times=(stroke,) * 8, tap_spread=tap)
    rhythm, pace = evidence(readings)
    assert (rhythm.what.key, pace.what.key) == ("rhythm", "cycle_rate")
    tapped = [math.sqrt(r.error**2 - r.what.relative**2) for r in (rhythm, pace)]
    assert tapped[0] == pytest.approx(np.std(np.log(up / down)), rel=0.1)
    assert np.std(np.log(up + down)) < tapped[1] < 2 * np.std(np.log(up + down))
    assert tapped[1] < 0.3 * tapped[0]


def test_what_was_read_is_what_is_weighed() -> None:
    readings = CheckReadings(
        up_times=(1.4, 1.5),
        creep_down=0.0,
        wet_cup="clean",
        bucket_volume=0.01,
        bucket_cycles=100,
        drop=0.1,
        early_drop="yes",
        turn_pause=0.1,
        changeover="knocks",
    )
    assert [r.what.key for r in evidence(readings)] == [
        "up_time", "creep_down", "drop", "turn_pause", "cycle_volume", "wet_cup", "knock",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "readings",
    [CheckReadings(), CheckReadings(temperature=290.0)],
)
def test_nothing_read(readings: CheckReadings) -> None:
    with pytest.raises(BadInput, match="No reading was entered"):
        evidence(readings)


def test_half_a_bucket_is_told_what_it_lacks() -> None:
    with pytest.raises(BadInput, match="two of the three"):
        evidence(CheckReadings(bucket_volume=0.01))


@pytest.mark.parametrize("time", ["0", "-1", "7200"])
def test_an_impossible_time_is_named(time: str) -> None:
    with pytest.raises(BadInput, match=r"Up-stroke times: number 2 is .*must be from") as caught:
        read(CheckReadings, {"up_times": f"1.4, {time}"})
    assert caught.value.problems[0].field == "up_times.1"
