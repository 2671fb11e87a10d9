"""Two lengths of stroke told apart."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.errors import BadInput
from wetend.stats.signal.two_lengths import two_normals


def test_a_made_mixture_is_found_again() -> None:
    rng = np.random.default_rng(3)
    values = np.r_[rng.normal(0.8, 0.03, 300), rng.normal(1.3, 0.06, 700)]
    found = two_normals(list(values))
    assert found.share == pytest.approx(0.3, abs=0.01)
    assert found.means == pytest.approx((0.8, 1.3), abs=0.01)
    assert found.spreads == pytest.approx((0.03, 0.06), abs=0.005)


@pytest.mark.parametrize("values", [[1.0, 2.0, 3.0], [1.0] * 9, [1.0, 2.0, float("nan"), 3.0]])
def test_what_holds_no_two_lengths_is_refused(values: list[float]) -> None:
    with pytest.raises(BadInput):
        two_normals(values)


def test_points_on_two_heaps_do_not_break_it() -> None:
    found = two_normals([1.0] * 5 + [2.0] * 5)
    assert found.means == pytest.approx((1.0, 2.0))
