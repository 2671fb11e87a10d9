"""Strokes timed to 20 ms among site noise, on logs with gaps, and from taps.

The recordings and logs are invented (``benchmarks/pump_sounds.py``, ``pump_logs.py``) and know
their own truth; ``benchmarks/listening.py`` runs many more of them.
"""

from __future__ import annotations

import numpy as np
import pump_logs
import pump_sounds
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from pump_sounds import Pumping

from wetend.advice.listening.answer import Listening
from wetend.advice.listening.strokes import judge
from wetend.errors import BadInput, NoAnswer, TooLarge
from wetend.stats.signal import hearing
from wetend.stats.signal.hearing import (
    MOST_TAPS,
    follow_taps,
    listen_to_sound,
    read_from_log,
)
from wetend.stats.signal.log import even_log
from wetend.stats.signal.table import read_table
from wetend.stats.signal.wav import Sound, read_wav

RUN = Pumping(up=1.31, down=0.97, seconds=30.0)
TWENTY_MS = 0.020


def _within(heard: Listening, turns: np.ndarray, kinds: tuple[int, ...]) -> bool:
    """Whether both times given lie within 20 ms of the true strokes' medians."""
    spans = np.diff(turns)
    true = sorted(float(np.median(spans[np.array(kinds[:-1]) == k])) for k in (0, 1))
    found = sorted(side.middle or 0.0 for side in heard.sides)
    return bool(np.allclose(found, true, atol=TWENTY_MS, rtol=0))


def _heard(made: pump_sounds.Made) -> Listening:
    return judge(listen_to_sound(read_wav(pump_sounds.as_wav(made))), "sound")


def test_channels_that_agree_are_added_so_that_their_noise_is_halved() -> None:
    rng, t = np.random.default_rng(4), np.linspace(0.0, 1.0, 4000)
    pump, noise = np.sin(300 * t), rng.normal(0.0, 0.5, (2, t.size))
    together = hearing._one_channel(pump + noise)
    assert np.std(together - pump) == pytest.approx(0.5 / np.sqrt(2), rel=0.05)
    against = hearing._one_channel(np.stack([pump, -0.9 * pump]))
    assert np.array_equal(against, pump)


@pytest.mark.parametrize("seed", [0, 1])
@pytest.mark.parametrize("noise", [*pump_sounds.NOISES, "all"])
def test_sound_as_loud_as_the_noise_is_timed_to_20_ms(noise: str, seed: int) -> None:
    made = pump_sounds.recording(seed, noise=noise, level=0.0, local=bool(seed), run=RUN)
    heard = _heard(made)
    assert heard.quality != "not read"
    assert _within(heard, made.turns, made.kinds)


@pytest.mark.parametrize("noise", [*pump_sounds.NOISES, "all"])
def test_noise_without_a_pump_gives_no_times(noise: str) -> None:
    rng = np.random.default_rng(7)
    alone = pump_sounds.site_noise(rng, 22050, 22050 * 30, noise)
    heard = judge(
        listen_to_sound(Sound(22050.0, (alone / np.abs(alone).max())[None], False)), "sound"
    )
    assert heard.quality == "not read"
    assert not any(s.used for s in heard.strokes)
    assert "No clear rhythm" in heard.summary


def test_a_dropout_of_the_recording_loses_its_strokes_and_no_others() -> None:
    made = pump_sounds.recording(2, noise="wind", run=RUN)
    samples = made.samples.copy()
    samples[int(10 * made.rate) : int(14 * made.rate)] = 0.0
    heard = judge(listen_to_sound(Sound(float(made.rate), samples[None], False)), "sound")
    assert _within(heard, made.turns, made.kinds)
    assert "missing" in heard.could_not[0]
    assert not any(s.used and s.start < 14 and s.start + s.length > 10 for s in heard.strokes)


def test_channels_that_cancel_are_not_added() -> None:
    made = pump_sounds.recording(3, run=RUN)
    both = np.stack([made.samples, -made.samples])
    heard = judge(listen_to_sound(Sound(float(made.rate), both, False)), "sound")
    assert _within(heard, made.turns, made.kinds)


def test_a_pause_is_told_and_counts_for_nothing() -> None:
    run = Pumping(up=1.31, down=0.97, seconds=40.0, pause_at=18.0, pause=5.0)
    made = pump_sounds.recording(4, noise="compressor", run=run)
    heard = _heard(made)
    assert _within(heard, made.turns, made.kinds)
    assert not any(s.used and s.length > 2 for s in heard.strokes)


@pytest.mark.parametrize("rate", [20.0, 50.0, 200.0])
def test_a_log_with_gaps_is_timed_to_20_ms(rate: float) -> None:
    made = pump_logs.log_of(5, rate=rate, run=RUN, noise=3.0)
    log = even_log(read_table(pump_logs.as_csv(made, delimiter=";", decimal=",")))
    heard = judge(read_from_log(log), "log")
    assert heard.quality != "not read"
    assert _within(heard, made.turns, made.kinds)
    assert any("missing" in told for told in heard.could_not)


def test_a_log_without_turns_gives_no_times() -> None:
    rng = np.random.default_rng(2)
    rows = "\n".join(f"{i / 50},{180 + 4 * rng.standard_normal():.2f}" for i in range(2000))
    heard = judge(read_from_log(even_log(read_table(b"s,bar\n" + rows.encode()))), "log")
    assert heard.quality == "not read"


@pytest.mark.parametrize(
    ("seconds", "level", "told"), [(3.0, 0.1, "lasts 3.0 s"), (9.0, 0.0, "silent")]
)
def test_what_can_not_be_listened_to_is_said_so(seconds: float, level: float, told: str) -> None:
    rng = np.random.default_rng(0)
    samples = level * rng.standard_normal((1, int(8000 * seconds)))
    with pytest.raises(NoAnswer, match=told):
        listen_to_sound(Sound(8000.0, samples, False))


def _taps(seed: int, count: int = 24) -> list[float]:
    rng = np.random.default_rng(seed)
    true = np.cumsum([0.4] + [1.4, 1.0] * (count // 2))
    return [float(t) for t in true + 0.05 * rng.standard_normal(true.size)]


def test_missed_and_doubled_taps_are_found_out() -> None:
    taps = _taps(1)
    heard = judge(follow_taps([*taps[:7], *taps[8:], taps[12] + 0.12]), "taps", "up")
    up, down = heard.times("up"), heard.times("down")
    assert np.median(up) == pytest.approx(1.4, abs=0.05)
    assert np.median(down) == pytest.approx(1.0, abs=0.05)
    assert heard.missed == 1
    assert max(*up, *down) < 1.8


@pytest.mark.parametrize("taps", [[], [1.0], [1.0, 2.0], [1.0, 2.0, float("nan")], [1.0] * 9])
def test_too_few_taps_are_refused(taps: list[float]) -> None:
    with pytest.raises(BadInput, match="three taps"):
        follow_taps(taps)


def test_too_many_taps_are_refused() -> None:
    with pytest.raises(TooLarge):
        follow_taps([float(i) for i in range(MOST_TAPS + 1)])


@costly(8)
@given(st.lists(st.floats(-1e7, 1e7), min_size=3, max_size=40))
def test_any_taps_get_an_answer(taps: list[float]) -> None:
    try:
        heard = judge(follow_taps(taps), "taps", "up")
    except (BadInput, NoAnswer):
        return
    assert all(s.length > 0 for s in heard.strokes)


@costly(8)
@given(st.integers(0, 10**6), st.sampled_from([1000.0, 8000.0, 44100.0]), st.floats(1e-9, 1e3))
def test_any_loudness_and_rate_get_an_answer(seed: int, rate: float, level: float) -> None:
    rng = np.random.default_rng(seed)
    samples = level * rng.standard_t(2, (1, int(7 * rate)))
    heard = judge(listen_to_sound(Sound(rate, samples, False)), "sound")
    assert all(np.isfinite(s.length) for s in heard.strokes)
