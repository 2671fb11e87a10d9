from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.simulation.film import CHANNELS, Film
from wetend.drawings import traces
from wetend.drawings.curve import round_marks, simplified
from wetend.telling.reader import Reader
from wetend.units.kinds import System

ReadBack = Callable[[str], Any]
KEYS = tuple(CHANNELS)


def film(values: list[float], length: float = 1.0) -> Film:
    t = np.linspace(0.0, length, len(values))
    return Film(t, {key: np.array(values) for key in CHANNELS})


NUMBERS = st.lists(
    st.floats(-1e9, 1e9) | st.floats(-1e-9, 1e-9) | st.just(0.0), min_size=2, max_size=40
)


@costly(25)
@given(this=NUMBERS, sound=NUMBERS, length=st.floats(1e-4, 1e4), system=st.sampled_from(
    ["metric", "imperial"]))  # fmt: skip
def test_any_traces_are_drawn_inside_their_sheet(
    read_back: ReadBack, this: list[float], sound: list[float], length: float, system: System
) -> None:
    drawn = read_back(
        traces.panels("Traces", film(this, length), film(sound, 1.0), KEYS, reader=Reader(system))
    )
    assert drawn.stays_inside(4.0)


def test_axes_say_what_and_in_which_unit(read_back: ReadBack) -> None:
    seen = film([0.0, 2e7, 0.0])
    said = read_back(traces.panels("Pressures", seen, seen, ("above",))).texts
    assert "Pressure above the piston, bar" in said
    assert "200" in said
    said = read_back(
        traces.panels("Pressures", seen, seen, ("above",), reader=Reader("imperial"))
    ).texts
    assert "Pressure above the piston, psi" in said


def test_a_leak_is_drawn_only_where_there_is_one(read_back: ReadBack) -> None:
    dry, wet = film([0.0, 0.0]), film([0.0, 1e-6])
    titles = " ".join(read_back(traces.panels("Flows", dry, dry, ("nozzle", "outside"))).texts)
    assert "outside" not in titles
    titles = " ".join(read_back(traces.panels("Flows", wet, dry, ("nozzle", "outside"))).texts)
    assert "outside" in titles


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6), st.integers(2, 5))
def test_marks_hold_the_range_and_stand_evenly(low: float, wide: float, about: int) -> None:
    marks = round_marks(low, low + wide, about)
    step = marks[1] - marks[0]
    slack = 1e-5 * step + 1e-9 * abs(low)
    assert marks[0] <= low + slack
    assert marks[-1] >= low + wide - slack
    assert np.diff(marks) == pytest.approx(np.full(len(marks) - 1, step), rel=1e-6)
    assert len(marks) <= about + 3


@given(
    st.lists(st.tuples(st.floats(-100, 100), st.floats(-100, 100)), min_size=2, max_size=60),
    st.floats(0.01, 10),
)
def test_a_simplified_line_stays_near_every_point(
    points: list[tuple[float, float]], within: float
) -> None:
    kept = simplified(points, within)
    assert kept[0] == points[0]
    assert kept[-1] == points[-1]
    place = 0
    for a, b in pairwise(kept):
        start, place = place, points.index(b, place + 1) if b in points[place + 1 :] else place
        for x, y in points[start + 1 : place]:
            along = np.hypot(b[0] - a[0], b[1] - a[1])
            off = (
                abs((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0])) / along
                if along
                else np.hypot(x - a[0], y - a[1])
            )
            assert off <= within + 1e-9
