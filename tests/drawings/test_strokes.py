from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.drawings import strokes

TIMES = st.floats(0.05, 120)
ReadBack = Callable[[str], Any]


@given(st.none() | TIMES, st.none() | TIMES, TIMES, TIMES, st.floats(0, 10), st.floats(0, 10))
def test_any_times_are_drawn_on_their_sheet(
    read_back: ReadBack,
    up: float | None,
    down: float | None,
    healthy_up: float,
    healthy_down: float,
    up_spread: float,
    down_spread: float,
) -> None:
    drawn = read_back(strokes.compare(up, down, healthy_up, healthy_down, up_spread, down_spread))
    assert drawn.stays_inside(slack=1.0)


def test_a_quick_stroke_is_said_in_words(read_back: ReadBack) -> None:
    drawn = read_back(strokes.compare(1.42, 0.98, 1.42, 1.42))
    assert "as healthy" in drawn.texts
    assert "31 % quick" in drawn.texts


def test_a_stroke_not_timed_says_so(read_back: ReadBack) -> None:
    assert "not timed" in read_back(strokes.compare(None, 0.9, 1.0, 1.0)).texts


@given(TIMES, TIMES)
def test_percent_quick_is_the_share_of_the_healthy_time(seen: float, healthy: float) -> None:
    said = strokes.verdict_words(seen, healthy)
    if said == "as healthy":
        assert seen == pytest.approx(healthy, rel=0.03)
    else:
        share = float(said.split()[0]) / 100
        assert share == pytest.approx(abs(healthy - seen) / healthy, abs=0.0051)
        assert said.endswith("slow" if seen > healthy else "quick")
