"""The next repack: distance times pressure times abrasiveness, with its wide interval."""

from __future__ import annotations

import math

import pytest
from scipy.stats import lognorm

from wetend.advice.repack import LIFE_SPREAD, middle_life, repack_volume
from wetend.errors import BadInput
from wetend.pump.coating import Coating
from wetend.pump.toml import demo_coatings, demo_pump


def coating(**change: object) -> Coating:
    return demo_coatings()[2].model_copy(update=change)


def test_middle_by_hand() -> None:
    # 60 km at 200 bar, over 170.1 bar at the pump and a factor of 1: 70.5 km of rod; 0.160 m and
    # 0.09073 L a cycle: about 40.0 m3.
    pump = demo_pump("quay-air")
    assert middle_life(pump, coating()) == pytest.approx(40.0, rel=0.01)


def test_abrasive_classes_shorten_it_in_order() -> None:
    pump = demo_pump("quay-air")
    classes = ("mild", "moderate", "abrasive", "very abrasive")
    lives = [middle_life(pump, coating(abrasiveness=a)) for a in classes]
    assert lives == sorted(lives, reverse=True)
    assert lives[0] / lives[3] == pytest.approx(12.0)


@pytest.mark.parametrize("used", [None, 0.0, 1.0, 20.0, 200.0])
def test_what_is_left_by_another_route(used: float | None) -> None:
    """SciPy's lognormal, cut off at what has been pumped."""
    pump, mild = demo_pump("quay-air"), coating()
    law = lognorm(LIFE_SPREAD, scale=middle_life(pump, mild))
    done = used or 0.0
    left = [law.isf(law.sf(done) * (1 - q)) - done for q in (0.05, 0.5, 0.95)]
    found = repack_volume(pump, mild, used)
    assert [found.low, found.middle, found.high] == pytest.approx(left, rel=1e-6)
    assert 0 <= found.low < found.middle < found.high


def test_interval_is_wide() -> None:
    found = repack_volume(demo_pump("quay-air"), coating(), None)
    assert found.high / found.middle == pytest.approx(math.exp(1.645 * LIFE_SPREAD), rel=0.01)


@pytest.mark.parametrize("used", [-1.0, math.nan, math.inf])
def test_volume_that_cannot_be(used: float) -> None:
    with pytest.raises(BadInput):
        repack_volume(demo_pump("quay-air"), coating(), used)
