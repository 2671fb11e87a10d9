"""Stop angle and shims: facts of the helix, and every subset tried by brute force."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from wetend.errors import BadInput
from wetend.physics import stackup

TURN = 2 * math.pi
MICRONS = st.integers(1, 3000).map(lambda n: n * 1e-6)


@given(gap=st.integers(-20000, 20000), pitch=st.sampled_from([1000, 1500, 2000, 3000, 4000]))
def test_one_shim_of_a_quarter_pitch_turns_the_elbow_a_quarter_turn(gap: int, pitch: int) -> None:
    """Common practice, no source."""
    before = stackup.stop_angle(gap * 1e-6, pitch * 1e-6)
    after = stackup.stop_angle((gap - pitch / 4) * 1e-6, pitch * 1e-6)
    assert stackup.miss(before - after, math.pi / 2) == pytest.approx(0.0, abs=1e-6)


@given(gap=st.floats(-0.1, 0.1), turns=st.integers(-5, 5))
def test_whole_turns_do_not_show(gap: float, turns: int) -> None:
    one = stackup.stop_angle(gap, 0.002)
    other = stackup.stop_angle(gap + turns * 0.002, 0.002)
    assert 0 <= one < TURN
    assert stackup.miss(one, other) == pytest.approx(0.0, abs=1e-7)


@given(st.floats(-50, 50), st.floats(-50, 50))
def test_miss_is_the_shortest_way_round(angle: float, target: float) -> None:
    off = stackup.miss(angle, target)
    assert -math.pi <= off <= math.pi
    assert math.cos(off) == pytest.approx(math.cos(angle - target), abs=1e-9)


@given(
    tin=st.lists(MICRONS, max_size=7), gap=st.floats(0, 0.006), target=st.floats(0, 6.28),
    reach=st.floats(0.02, 1.0), spread=st.floats(0, 100e-6), each=st.floats(0, 20e-6),
)  # fmt: skip
def test_no_subset_of_the_tin_is_likelier_or_fewer_among_equals(
    tin: list[float], gap: float, target: float, reach: float, spread: float, each: float
) -> None:
    """Every subset by itertools, its chance by the same law of a wrapped normal."""
    best = stackup.choose_shims(
        gap, 0.002, tin, target=target, reach=reach, spread=spread, shim_spread=each
    )

    def chance(chosen: tuple[float, ...]) -> float:
        off = stackup.miss((gap - math.fsum(chosen)) / 0.002 * TURN, target)
        deviation = math.hypot(spread, each * math.sqrt(len(chosen))) / 0.002 * TURN
        return float(stackup.within(off, deviation, reach))

    every = [c for n in range(len(tin) + 1) for c in itertools.combinations(tin, n)]
    chances = [chance(c) for c in every]
    assert chance(best.shims) >= max(chances) - stackup.TIED - 1e-9
    clearly = [c for c, p in zip(every, chances, strict=True)
               if p >= max(chances) - stackup.TIED + 1e-9]  # fmt: skip
    assert len(best.shims) <= min((len(c) for c in clearly), default=len(tin))
    assert list(best.shims) == sorted(best.shims, reverse=True)
    left = list(tin)
    for shim in best.shims:
        left.remove(shim)  # each chosen shim lies in the tin, and only as often as it does


def test_fewest_shims_win_a_tie() -> None:
    best = stackup.choose_shims(0.002, 0.002, [0.0005, 0.0005, 0.001, 0.002], target=math.pi)
    assert best.shims == (0.001,)
    assert stackup.choose_shims(0.001, 0.002, [0.002], target=math.pi).shims == ()


def test_a_shim_that_brings_it_nearer_by_less_than_is_known_is_left_in_the_tin() -> None:
    """0.02 mm, 3.6 degrees, off where 15 will do and 0.02 mm is the spread: both are sure."""
    tin = [0.001, 0.00002]
    sure = {"target": math.pi, "reach": math.radians(3.0), "shim_spread": 0.0}
    assert stackup.choose_shims(0.00202, 0.002, tin, **sure).shims == (0.001, 0.00002)
    loose = {"target": math.pi, "reach": math.radians(15.0), "shim_spread": 5e-6, "spread": 20e-6}
    assert stackup.choose_shims(0.00202, 0.002, tin, **loose).shims == (0.001,)


def test_equal_shims_count_once() -> None:
    assert stackup.choose_shims(0.0, 0.002, [0.0005] * 12).tried == 13
    assert len(stackup.subsets([0.0001 * k for k in range(1, 13)])[1]) == 4096
    rows = {tuple(row) for row in stackup.subsets([3.0, 2.0, 2.0, 1.0])[1].tolist()}
    assert len(rows) == 2 * 3 * 2


def test_tins_that_cannot_be_tried_are_refused() -> None:
    with pytest.raises(BadInput, match="at most 12 shims; there are 13"):
        stackup.subsets([0.0001 * k for k in range(1, 14)])
    with pytest.raises(BadInput, match="above zero"):
        stackup.subsets([0.0])
    with pytest.raises(BadInput, match="pitch"):
        stackup.stop_angle(0.001, 0.0)


def test_spread_agrees_with_drawn_heights() -> None:
    random = np.random.default_rng(3)
    sizes = random.normal(0.0, 15e-6, (40000, 5)).sum(axis=1)
    squeeze = np.array([130e-6, 120e-6])
    soft = (squeeze * random.normal(1.0, 0.10, (40000, 2))).sum(axis=1)
    gap = sizes + soft * random.normal(1.0, 0.15, 40000)
    assert stackup.gap_spread([15e-6] * 5, squeeze) == pytest.approx(gap.std(), rel=0.02)
    assert stackup.gap_worst([15e-6] * 5, squeeze) > 2 * stackup.gap_spread([15e-6] * 5, squeeze)


@given(miss=st.floats(-math.pi, math.pi), spread=st.floats(1e-3, 3.0), reach=st.floats(0.01, 3.14))
def test_chance_on_target_agrees_with_the_series(miss: float, spread: float, reach: float) -> None:
    """Second route: the wrapped normal by its Fourier series (Mardia and Jupp, Directional
    Statistics, 2000, section 3.5.7, from memory), integrated term by term; and, of a spread too
    small for the series, by the normal on the line.
    """
    if spread > 0.2:
        k = np.arange(1, 60)
        terms = np.exp(-0.5 * (k * spread) ** 2) * np.cos(k * miss) * np.sin(k * reach) / k
        chance = (reach + 2.0 * float(terms.sum())) / math.pi
    else:
        turns = TURN * np.arange(-1, 2)
        chance = float((norm.cdf(reach, miss + turns, spread)
                        - norm.cdf(-reach, miss + turns, spread)).sum())  # fmt: skip
    assert float(stackup.within(miss, spread, reach)) == pytest.approx(chance, abs=1e-9)


def test_chance_on_target_agrees_with_drawn_angles() -> None:
    random = np.random.default_rng(4)
    for off, spread in ((0.0, 0.2), (0.3, 0.25), (3.0, 1.5)):
        drawn = np.abs(np.remainder(random.normal(off, spread, 200_000) + math.pi, TURN) - math.pi)
        share = float((drawn <= 0.35).mean())
        assert stackup.within(off, spread, 0.35) == pytest.approx(share, abs=0.005)
    assert stackup.within(0.2, 0.0, 0.35) == 1.0
    assert stackup.within(0.4, 0.0, 0.35) == 0.0
