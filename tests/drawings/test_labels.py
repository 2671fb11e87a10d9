from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.drawings.labels import spread_out

PLACES = st.lists(st.tuples(st.floats(0, 400), st.floats(5, 40)), min_size=1, max_size=15).map(
    lambda pairs: sorted(pairs)
)


@given(PLACES)
def test_labels_never_overlap_and_keep_their_order(pairs: list[tuple[float, float]]) -> None:
    wanted, heights = [p for p, _ in pairs], [h for _, h in pairs]
    middles = spread_out(wanted, heights, 0, 1000)
    for (a, ha), (b, hb) in pairwise(zip(middles, heights, strict=True)):
        assert b - a >= (ha + hb) / 2 - 1e-6
    assert middles[0] - heights[0] / 2 >= -1e-6
    assert middles[-1] + heights[-1] / 2 <= 1000 + 1e-6


def test_labels_with_room_stay_where_they_are_wanted() -> None:
    assert spread_out([20, 60, 100], [10, 10, 10], 0, 200) == pytest.approx([20, 60, 100])


def test_crowded_labels_move_apart_evenly() -> None:
    assert spread_out([50, 50], [10, 10], 0, 100) == pytest.approx([45, 55])
