"""Do the 90 % intervals of remaining life hold on depots of an independent generator?

The full table, by number of failures seen, is in docs/life.md; here a few depots keep it true.
"""

import life_coverage
import numpy as np
import pytest


@pytest.mark.slow
@pytest.mark.parametrize("repairs", [3, 12])
def test_the_truth_lies_inside_about_nine_times_in_ten(repairs: int) -> None:
    _, found = life_coverage.row(repairs, 40)
    inside = np.mean([side == 0 for side, _ in found])
    # 90 % of 40, to three standard errors: 0.9 - 3 sqrt(0.9 0.1 / 40)
    assert inside > 0.75
    assert len(found) == 40
