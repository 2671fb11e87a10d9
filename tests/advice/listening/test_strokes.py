"""What is made of turns followed: names, times, what does not count, and what is said of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from wetend.advice.listening.answer import Listening, Way
from wetend.advice.listening.strokes import judge
from wetend.stats.signal.follow import Followed, Turn
from wetend.stats.signal.hearing import Heard


def _heard(
    spans: list[float], *, strokes: dict[int, int] | None = None, faint: tuple[int, ...] = (),
    lost: float = 0.0, clipped: float = 0.0,
) -> Heard:  # fmt: skip
    at = np.r_[0.5, 0.5 + np.cumsum(spans)]
    kind, turns = 0, []
    for i, t in enumerate(at):
        count = (strokes or {}).get(i, 1 if i else 0)
        if i:
            kind = (kind + max(count, 1)) % 2
        turns.append(Turn(float(t), kind, count, 1.0 if i in faint else 8.0))
    size = int(at[-1] / 0.01) + 60
    return Heard(
        Followed(tuple(turns), (1.0, 1.0), np.zeros(size), 1.0), 0.0, 0.01, float(at[-1] + 0.5),
        np.ones(size, dtype=bool), lost, clipped,
    )  # fmt: skip


def _even(count: int = 24, up: float = 1.4, down: float = 1.0, noise: float = 0.01) -> list[float]:
    rng = np.random.default_rng(0)
    return [(up, down)[i % 2] + noise * rng.standard_normal() for i in range(count)]


@pytest.mark.parametrize(("first", "up", "down"), [("up", 1.4, 1.0), ("down", 1.0, 1.4)])
def test_the_mark_names_both_strokes(first: Way, up: float, down: float) -> None:
    heard = judge(_heard(_even()), "sound", first)
    assert heard.quality == "clear"
    assert np.median(heard.times("up")) == pytest.approx(up, abs=0.02)
    assert np.median(heard.times("down")) == pytest.approx(down, abs=0.02)
    assert heard.differ


def test_unmarked_strokes_are_first_and_second() -> None:
    heard = judge(_heard(_even()), "sound")
    assert [side.name for side in heard.sides] == ["first", "second"]
    assert heard.times("up") == ()
    assert "second stroke is 28 % quicker" in heard.summary


def test_even_strokes_are_called_even_and_doubted() -> None:
    heard = judge(_heard(_even(up=1.2, down=1.2)), "sound", "up")
    assert not heard.differ
    assert heard.summary.startswith("The strokes are even")
    assert any("whole cycles" in told for told in heard.could_not)


def test_a_missed_turn_and_a_faint_one_count_for_nothing() -> None:
    spans = _even()
    spans[6:8] = [spans[6] + spans[7]]
    heard = judge(_heard(spans, strokes={7: 2}, faint=(15,)), "sound", "up")
    left_out = {s.number: s.why for s in heard.strokes if not s.used}
    assert left_out == {
        7: "1 turn not heard in it", 15: "a turn at its end is too faint",
        16: "a turn at its end is too faint",
    }  # fmt: skip
    assert heard.missed == 1
    assert len(heard.could_not) == 2


def test_a_stroke_far_from_its_fellows_is_left_out() -> None:
    spans = _even()
    spans[10] += 0.4
    heard = judge(_heard(spans), "sound", "up")
    assert [s.why for s in heard.strokes if not s.used] == ["far from the others"]


def test_a_pause_is_no_stroke() -> None:
    spans = _even()
    spans[12] = 4.0
    heard = judge(_heard(spans, strokes={13: 0}), "sound", "up")
    assert heard.pauses == 1
    assert len(heard.strokes) == len(spans) - 1
    assert any("is interrupted" in told for told in heard.could_not)


def test_drift_is_told_as_a_share_a_minute() -> None:
    spans = [s * (1 + 0.004 * i) for i, s in enumerate(_even(noise=0.0))]
    heard = judge(_heard(spans), "sound", "up")
    drift = heard.sides[0].drift
    assert drift is not None
    assert drift == pytest.approx(60 * 0.004 / 1.2, rel=0.1)
    assert any("get slower" in told for told in heard.could_not)


def test_a_sudden_change_is_placed() -> None:
    spans = _even(noise=0.005)
    spans = spans[:12] + [s * 1.2 for s in spans[12:]]
    heard = judge(_heard(spans), "sound", "up")
    at = heard.sides[0].step_at
    assert at is not None
    assert at == pytest.approx(0.5 + sum(spans[:12]), abs=0.01)


@pytest.mark.parametrize("spans", [_even(8), _even(24, noise=0.4), []])
def test_too_few_or_too_wild_gives_no_times(spans: list[float]) -> None:
    heard = judge(_heard(spans), "log", "up")
    assert heard.quality == "not read"
    assert heard.times("up") == () == heard.times("down")
    assert "50 readings a second" in heard.summary


def test_gaps_and_clipped_sound_are_told() -> None:
    heard = judge(_heard(_even(), lost=0.1, clipped=0.02), "sound", "up")
    assert "10 %" in heard.could_not[0]
    assert "clipped" in heard.could_not[1]


def test_taps_are_no_better_than_a_thumb() -> None:
    assert judge(_heard(_even()), "taps", "up").spread == 0.1
    assert judge(_heard(_even()), "sound", "up").spread < 0.02


def test_the_working_shows_both_times() -> None:
    heard: Listening = judge(_heard(_even()), "sound", "up")
    labels = [f.label for w in heard.workings for f in w.result]
    assert {"up stroke", "down stroke", "cycles"} <= set(labels)


@pytest.mark.parametrize(
    ("heard", "told"),
    [
        (_heard(_even(13)), "Only 6 strokes of one kind"),
        (_heard(_even(60, noise=0.06)), "scatter by"),
        (_heard(_even(up=2.02, down=1.0)), "about twice"),
        (_heard(_even(40), strokes={10: 0, 11: 0, 12: 0, 13: 0, 14: 0, 15: 0, 16: 0, 17: 0,
                                    18: 0, 19: 0, 20: 0, 21: 0, 22: 0}), "cover"),
    ],
)  # fmt: skip
def test_what_is_doubtful_says_why(heard: Heard, told: str) -> None:
    found = judge(heard, "sound", "up")
    assert found.quality == "doubtful"
    assert any(told in each for each in found.could_not)


def test_where_the_turns_stand_is_never_surer_than_the_record_for_all_its_strokes() -> None:
    heard = replace(_heard(_even(400, noise=0.005)), placed=0.008)
    for side in judge(heard, "log", "up").sides:
        assert side.interval is not None
        assert side.interval.high - side.interval.low > 2 * 1.645 * 0.008
