"""Turns settled where their look begins, on made features whose true moments are known."""

from __future__ import annotations

import numpy as np
import pump_sounds
import pytest
from numpy.typing import NDArray
from pump_sounds import Pumping

from wetend.advice.listening.strokes import judge
from wetend.stats.signal import settling
from wetend.stats.signal.follow import Features, Turn
from wetend.stats.signal.hearing import listen_to_sound
from wetend.stats.signal.settling import settled
from wetend.stats.signal.wav import read_wav

STEP = 0.005
LENGTHS = (1.3, 0.9)


def _true(count: int = 24, seed: int = 0) -> tuple[NDArray[np.float64], list[int]]:
    rng = np.random.default_rng(seed)
    spans = [LENGTHS[i % 2] * (1 + 0.01 * rng.standard_normal()) for i in range(count)]
    return 1.0 + np.cumsum([0.0, *spans[:-1]]), [i % 2 for i in range(count)]


def _bump(t: NDArray[np.float64], at: float, height: float, fall: float) -> NDArray[np.float64]:
    since = t - at
    heard: NDArray[np.float64] = np.where(
        since >= 0, height * np.exp(-np.clip(since, 0, None) / fall), 0.0
    )
    return heard


def _features(seed: int = 0, *, swings: bool = False) -> tuple[Features, list[float], list[int]]:
    """Kind 0 knocks hard and clacks faintly 35 ms later, kind 1 the other way about."""
    true, kinds = _true(seed=seed)
    t = STEP * np.arange(int((true[-1] + 1.5) / STEP))
    rng = np.random.default_rng(seed + 100)
    bands = rng.standard_normal((3, t.size))
    for at, kind in zip(true, kinds, strict=True):
        if swings:
            bands[0] -= (10.0 if kind else 8.0) * _bump(t, at, 1.0, 0.06)
            continue
        bands[0] += _bump(t, at, 4.0 if kind else 7.0, 0.02)
        bands[1] += _bump(t, at + 0.035, 7.0 if kind else 4.0, 0.02)
    known = np.ones(t.size, dtype=bool)
    return Features(0.0, STEP, bands, (bands[0],), known, swings=swings), list(true), kinds


@pytest.mark.parametrize(
    ("values", "first", "level", "at"),
    [
        ([0.0, 1.0, 3.0], 2, 2.0, 1.5), ([0.0, 1.0, 3.0], 1, 0.25, 0.25),
        ([2.0, 5.0, 1.0], 0, 1.5, 0.0),  # risen before the record begins
        ([0.0, 4.0, 4.0], 2, 4.0, 2.0), ([0.0, 4.0, 3.0], 2, 3.0, 2.0),  # no rise to lie between
        ([0.0, 1.0], 1, -5.0, 0.0), ([0.0, 1.0], 1, 9.0, 1.0),
    ],
)  # fmt: skip
def test_a_level_is_crossed_in_proportion_between_two_steps(values, first, level, at) -> None:
    assert settling._crossing(np.array(values), first, level) == pytest.approx(at)


def _lags(turns: tuple[Turn, ...], true: list[float]) -> list[NDArray[np.float64]]:
    lags = np.array([turn.at for turn in turns]) - np.array(true)
    kinds = np.array([turn.kind for turn in turns])
    return [lags[kinds == kind] for kind in (0, 1)]


@pytest.mark.parametrize("seed", range(4))
def test_a_kind_held_at_its_clack_and_one_at_its_knock_are_counted_from_where_they_begin(
    seed: int,
) -> None:
    features, true, kinds = _features(seed)
    found = [
        Turn(at + (0.035 if kind else 0.0), kind, int(i > 0), 5.0)
        for i, (at, kind) in enumerate(zip(true, kinds, strict=True))
    ]
    lags = _lags(settled(features, found, LENGTHS), true)
    assert abs(np.median(lags[0]) - np.median(lags[1])) < 0.006
    assert max(abs(np.median(each)) for each in lags) < 0.010


def test_a_kind_held_here_at_its_knock_and_there_at_its_clack_is_brought_together() -> None:
    features, true, kinds = _features(5)
    found = [
        Turn(at + (0.035 if i % 3 == 0 else 0.0), kind, int(i > 0), 5.0)
        for i, (at, kind) in enumerate(zip(true, kinds, strict=True))
    ]
    before = _lags(tuple(found), true)
    after = _lags(settled(features, found, LENGTHS), true)
    for kind in (0, 1):
        assert np.std(before[kind]) > 0.015
        assert np.std(after[kind]) < 0.004


def test_a_pressure_turns_where_it_has_fallen_half_way() -> None:
    features, true, kinds = _features(2, swings=True)
    rng = np.random.default_rng(3)
    found = [
        Turn(at + (0.03 if kind else -0.01) + 0.01 * rng.standard_normal(), kind, int(i > 0), 5.0)
        for i, (at, kind) in enumerate(zip(true, kinds, strict=True))
    ]
    lags = _lags(settled(features, found, LENGTHS), true)
    assert abs(np.median(lags[0]) - np.median(lags[1])) < 0.004
    assert max(np.std(each) for each in lags) < 0.004


def test_kinds_strengths_and_order_stay() -> None:
    features, true, kinds = _features(1)
    found = [Turn(at, kind, int(i > 0), float(i)) for i, (at, kind) in enumerate(
        zip(true, kinds, strict=True))]  # fmt: skip
    after = settled(features, found, LENGTHS)
    assert [(t.kind, t.strokes, t.strength) for t in after] == [
        (t.kind, t.strokes, t.strength) for t in found
    ]
    assert np.all(np.diff([t.at for t in after]) > 0)


def test_turns_too_few_to_lay_over_one_another_stay_where_they_were() -> None:
    features, true, kinds = _features()
    found = tuple(
        Turn(at + 0.02, kind, 1, 5.0) for at, kind in zip(true[:6], kinds[:6], strict=True)
    )
    assert settled(features, found, LENGTHS) == found
    assert settled(features, (), LENGTHS) == ()


@pytest.mark.parametrize(
    ("seed", "up", "down"), [(7, 2.78, 0.40), (20, 1.35, 1.05)]
)  # fmt: skip
def test_a_grinder_does_not_lengthen_one_stroke_at_the_cost_of_the_other(
    seed: int, up: float, down: float
) -> None:
    """Where the look is held at the knock of one turn and the clack of the other, 30 ms went."""
    made = pump_sounds.recording(
        seed, noise="grinder", run=Pumping(up=up, down=down, scatter=0.01, seconds=40.0)
    )
    heard = judge(listen_to_sound(read_wav(pump_sounds.as_wav(made))), "sound")
    spans = np.diff(made.turns)
    errors = [
        stroke.length - spans[np.argmin(np.abs(made.turns[:-1] - stroke.start))]
        for stroke in heard.strokes
        if stroke.used
    ]
    assert len(errors) > 15
    assert np.mean(np.abs(errors) <= 0.020) > 0.95
