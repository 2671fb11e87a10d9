"""Acts, worth of knowing, and orders to try in, against published cases and brute force."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from wetend.stats.decision import (
    covered,
    expected_cost,
    least_cost_order,
    ratio_order,
)
from wetend.stats.discrete import entropy, information

# The oil wildcatter: Raiffa, Decision Analysis, Addison-Wesley 1968; figures as printed by Shenoy,
# "Valuation-based systems for Bayesian decision analysis", Operations Research 40 (1992).
HOLE = np.array([0.5, 0.3, 0.2])  # dry, wet, soaking
SOUNDING = np.array([[0.6, 0.3, 0.1], [0.3, 0.4, 0.4], [0.1, 0.3, 0.5]])  # none, open, closed


def test_oil_wildcatter_in_bits() -> None:
    """Second route: belief by belief (Lindley, Annals of Mathematical Statistics 27, 1956)."""
    told = information(SOUNDING * HOLE)
    after = [entropy(row * HOLE / (row @ HOLE)) for row in SOUNDING]
    assert told == pytest.approx(entropy(HOLE) - float((SOUNDING @ HOLE) @ after))
    assert told == pytest.approx(0.160411, abs=1e-6)


def _single(chances: np.ndarray) -> np.ndarray:
    needed = np.zeros(2 ** len(chances))
    needed[[1 << k for k in range(len(chances))]] = chances
    return needed


def test_two_boxes_one_prize() -> None:
    """The case worked at cs.stackexchange.com/questions/144646: chances 0.8 and 0.2, costs 3 and 2;
    likeliest first costs 3.4, the cheaper first 4.4.
    """
    chances, costs = np.array([0.8, 0.2]), np.array([3.0, 2.0])
    needed = _single(chances)
    assert expected_cost((0, 1), needed, costs) == pytest.approx(3.4)
    assert expected_cost((1, 0), needed, costs) == pytest.approx(4.4)
    assert ratio_order(chances, costs) == least_cost_order(needed, costs).order() == [0, 1]
    assert least_cost_order(needed, costs).cost[0] == pytest.approx(3.4)


@pytest.mark.parametrize("seed", range(8))
def test_one_fault_goes_by_chance_over_cost(seed: int) -> None:
    """Kadane and Simon, Annals of Statistics 5 (1977): by falling p over c, by no other order."""
    rng = np.random.default_rng(seed)
    chances, costs = rng.dirichlet(np.ones(5)), rng.uniform(1, 30, 5)
    order = ratio_order(chances, costs)
    tried = {o: expected_cost(o, _single(chances), costs) for o in permutations(range(5))}
    assert min(tried, key=lambda o: tried[o]) == tuple(order)
    by_hand = sum(costs[a] * (1 - sum(chances[b] for b in order[:k])) for k, a in enumerate(order))
    assert tried[tuple(order)] == pytest.approx(by_hand)
    plan = least_cost_order(_single(chances), costs)
    assert plan.order() == order
    assert plan.cost[0] == pytest.approx(by_hand)


@pytest.mark.parametrize("seed", range(6))
def test_several_faults_and_shared_work_by_brute_force(seed: int) -> None:
    rng = np.random.default_rng(100 + seed)
    count = 5
    needed = rng.dirichlet(np.full(2**count, 0.3), size=3)
    costs = rng.uniform(1, 30, (2**count, count))
    plan = least_cost_order(needed, costs)
    for which in range(3):
        least = min(expected_cost(o, needed[which], costs) for o in permutations(range(count)))
        assert plan.cost[which] == pytest.approx(least)
        assert expected_cost(plan.order(which), needed[which], costs) == pytest.approx(least)


def test_covered_is_the_sum_over_subsets() -> None:
    needed = np.random.default_rng(0).dirichlet(np.ones(16))
    plain = [sum(needed[t] for t in range(16) if t & ~s == 0) for s in range(16)]
    np.testing.assert_allclose(covered(needed), plain)
