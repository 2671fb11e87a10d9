"""Exact intervals of rates and shares: against SciPy and printed values."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from wetend.errors import BadInput
from wetend.stats.rates import count_interval, ratio_interval, share_interval, share_tails


@pytest.mark.parametrize("count", [0, 1, 3, 10, 57, 400])
def test_garwood_is_the_chi_squared_quantile(count: int) -> None:
    low, high = count_interval(count)
    assert high == pytest.approx(stats.chi2.ppf(0.975, 2 * count + 2) / 2)
    assert low == pytest.approx(stats.chi2.ppf(0.025, 2 * count) / 2 if count else 0.0)


def test_garwoods_own_table() -> None:
    # n = 10: 4.795 to 18.39; n = 0: 3.69 above. Garwood 1936, from memory.
    assert count_interval(10) == pytest.approx((4.795, 18.39), abs=5e-3)
    assert count_interval(0)[1] == pytest.approx(3.69, abs=5e-3)


@pytest.mark.parametrize(("hits", "trials"), [(0, 7), (2, 9), (9, 9), (31, 80)])
def test_shares_are_as_scipy_has_them(hits: int, trials: int) -> None:
    exact = stats.binomtest(hits, trials).proportion_ci(0.95, method="exact")
    assert share_interval(hits, trials) == pytest.approx((exact.low, exact.high))


@pytest.mark.parametrize("case", [(4, 10.0, 9, 31.0), (0, 5.0, 6, 20.0), (12, 3.0, 0, 9.0)])
def test_a_ratio_holds_one_just_where_the_exact_test_says_so(case) -> None:
    """SciPy's binomial test of one count given both; a one-sided tail of 2.5 % each way."""
    one, over, other, rest = case
    low, high = ratio_interval(*case)
    for ratio, side in ((low, "greater"), (high, "less")):
        if 0 < ratio < math.inf:
            p = ratio * over / (ratio * over + rest)
            test = stats.binomtest(one, one + other, p, alternative=side)
            assert test.pvalue == pytest.approx(0.025, rel=1e-6)


def test_what_makes_no_sense_is_refused() -> None:
    for bad in (lambda: count_interval(-1), lambda: share_interval(3, 2),
                lambda: ratio_interval(1, 0.0, 1, 1.0)):  # fmt: skip
        with pytest.raises(BadInput):
            bad()


@pytest.mark.parametrize("case", [(2, 10, 0, 10), (0, 4, 7, 9), (20, 40, 0, 40), (3, 3, 1, 200)])
def test_two_shares_are_compared_by_fishers_exact_test(case) -> None:
    hits, trials, other, others = case
    table = [[hits, trials - hits], [other, others - other]]
    few, many = share_tails(*case)
    assert few == pytest.approx(stats.fisher_exact(table, "less").pvalue)
    assert many == pytest.approx(stats.fisher_exact(table, "greater").pvalue)


def test_the_tea_lady() -> None:
    # Fisher 1935, The Design of Experiments: 3 of 4 cups right is 17/70 one-sided
    assert share_tails(3, 4, 1, 4)[1] == pytest.approx(17 / 70)
