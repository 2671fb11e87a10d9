"""Pumps unlike their depot: what is learned of them, against truth and plain quadrature."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from wetend.stats.life import unlike_pumps as module
from wetend.stats.life.belief import LifeBelief
from wetend.stats.life.unlike_pumps import ALIKE, SLOPES, SPREADS, Lived, own_way, unlike

SCALE = 0.45


def lived(lives: np.ndarray, before: np.ndarray, pump: np.ndarray, scale: float = SCALE) -> Lived:
    """Exact lives of a lognormal part, as logs about the depot's median."""
    return Lived(lives, lives, np.log1p(before), pump, scale, False, 0.0)


def depot(rng: np.random.Generator, pumps: int, each: int, spread: float, worse: float) -> Lived:
    before = np.tile(np.arange(each), pumps)
    pump = np.repeat(np.arange(pumps), each)
    off = rng.normal(0.0, spread, pumps)[pump]
    slope = np.where(rng.uniform(size=pumps) < worse, -1.0, 0.0)[pump]
    lives = off + slope * np.log1p(before) + rng.normal(0.0, SCALE, len(pump))
    return lived(lives, before, pump, math.hypot(SCALE, spread))


def test_one_life_is_as_likely_as_scipy_says() -> None:
    """Each spread, node and slope of an exact, a censored and an interval life."""
    some = Lived(np.array([0.3, -0.2, -0.5]), np.array([0.3, np.inf, 0.1]), np.log1p([2.0, 0, 1]),
                 np.zeros(3, dtype=np.intp), SCALE, False, 0.0)  # fmt: skip
    ours = module._log_chances(some)
    for spread, node, slope in ((1, 2, 0), (2, 5, 3), (0, 3, 1)):
        within = math.sqrt(max(SCALE**2 - SPREADS[spread] ** 2, 0.36 * SCALE**2))
        off = SPREADS[spread] * module._NODES[node] + SLOPES[slope] * some.before
        law = stats.norm(off, within)
        theirs = [
            math.log(law.pdf(0.3)[0] * module._STEP), law.logsf(-0.2)[1],
            math.log(law.cdf(0.1)[2] - law.cdf(-0.5)[2]),
        ]  # fmt: skip
        # a density is taken over a step of a thousandth
        assert ours[:, spread, node, slope] == pytest.approx(theirs, abs=1e-4)


def test_a_depot_whose_pumps_are_alike_is_found_so_and_one_whose_are_not() -> None:
    rng = np.random.default_rng(2)
    alike = unlike([depot(rng, 40, 6, 0.0, 0.0)], 40)
    differ = unlike([depot(rng, 40, 6, 0.4, 0.0)], 40)
    worse = unlike([depot(rng, 40, 6, 0.0, 0.4)], 40)
    assert alike.chance[:2].sum() > 0.9
    assert differ.chance[2:].sum() > 0.9
    assert worse.chance[:, 2:].sum() > 0.7 > alike.chance[:, 2:].sum()
    assert unlike([], 0) is ALIKE


def test_a_pump_that_gets_worse_is_told_from_one_that_does_not() -> None:
    rng = np.random.default_rng(3)
    known = unlike([depot(rng, 40, 6, 0.0, 0.4)], 40)
    before, one = np.arange(6.0), np.zeros(6, dtype=np.intp)
    good = lived(rng.normal(0.0, SCALE, 6), before, one)
    bad = lived(-1.0 * np.log1p(before) + rng.normal(0.0, SCALE, 6), before, one)
    assert (own_way(known, [good], 2000).slope < -0.5).mean() < 0.1
    assert (own_way(known, [bad], 2000).slope < -0.5).mean() > 0.9


def test_parts_of_a_pump_count_together() -> None:
    """Two parts each a little short make the pump short more surely than one."""
    known = unlike([depot(np.random.default_rng(2), 40, 6, 0.4, 0.0)], 40)
    short = lived(np.full(2, -0.5), np.zeros(2), np.zeros(2, dtype=np.intp))
    once, twice = (own_way(known, [short] * n, 4000).shift for n in (1, 3))
    assert twice.mean() < once.mean() < -0.1
    assert twice.std() < once.std()


def test_of_a_pump_not_known_the_spread_of_lives_stays_as_it_is() -> None:
    count = 20000
    belief = LifeBelief(np.zeros((count, 1)), np.full(count, SCALE), np.zeros(count, dtype=bool),
                        0.0, 9, 900.0)  # fmt: skip
    alike = own_way(ALIKE, [], count)
    steady = module.OwnWay(alike.shift, np.zeros(count), alike.spread)
    own = steady.of(belief, 0.0)
    drawn = own.coefficients[:, 0] + own.scales * np.random.default_rng(1).standard_normal(count)
    # where the spread is the widest, 36 % of the variance stays within: a little more than before
    assert drawn.std() == pytest.approx(SCALE, rel=0.08)
    assert drawn.mean() == pytest.approx(0.0, abs=0.02)


def test_the_same_seed_gives_the_same_and_all_parts_share_it() -> None:
    a, b = own_way(ALIKE, [], 500), own_way(ALIKE, [], 500)
    assert np.array_equal(a.shift, b.shift)
    assert np.array_equal(a.slope, b.slope)
