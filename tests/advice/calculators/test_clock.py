"""The stack calculator: angle, best shims, hand of the thread."""

from __future__ import annotations

import math

import pytest

from wetend.advice.calculators.calculator import Outcome, calculate
from wetend.advice.calculators.catalogue import find_calculator
from wetend.errors import BadInput

STACK = {"pitch": "2 mm", "heights": "12, 1.8, 24, 1.8 mm", "depth": "41.7 mm"}


def run(**typed: str) -> Outcome:
    return calculate(find_calculator("stack-clock"), typed).outcome


def test_a_gap_of_a_pitch_and_a_bit_stops_after_the_bit() -> None:
    found = run(**STACK).values
    assert found["stop_angle"] == pytest.approx(2 * math.pi * 0.05, abs=1e-9)  # gap 2.1 mm
    assert found["best_shims"] == ()


def test_a_quarter_pitch_shim_takes_a_quarter_turn_back() -> None:
    """Common practice, no source."""
    plain = run(**STACK).values["stop_angle"]
    shimmed = run(**{**STACK, "heights": "12, 1.8, 24, 0.5, 1.8 mm"}).values["stop_angle"]
    assert isinstance(plain, float)
    assert isinstance(shimmed, float)
    assert (plain - shimmed) % (2 * math.pi) == pytest.approx(math.pi / 2, abs=1e-9)


def test_best_shims_from_the_tin() -> None:
    found = run(**STACK, shims="0.5, 0.5, 0.25, 0.1 mm", target="180 deg").values
    assert found["best_shims"] == pytest.approx((0.0005, 0.0005, 0.0001))
    assert found["best_angle"] == pytest.approx(math.pi, abs=1e-9)
    assert found["best_miss"] == pytest.approx(0.0, abs=1e-9)
    sizes = math.hypot(20e-6 * math.sqrt(4 + 1), 5e-6 * math.sqrt(3))  # heights, depth, shims
    spread = 2 * math.pi / 0.002 * sizes
    assert found["spread"] == pytest.approx(spread)


def test_left_hand_threads_count_the_other_way_round() -> None:
    right, left = run(**STACK).values, run(**STACK, hand="left").values
    assert left["stop_angle"] == right["stop_angle"] == right["clockwise_angle"]
    turn = left["clockwise_angle"] + right["clockwise_angle"]  # type: ignore[operator]
    assert turn == pytest.approx(2 * math.pi)


def test_a_poor_measurement_is_said_to_be_one() -> None:
    assert any("not known well enough" in c for c in run(**STACK, height_spread="0.2 mm").cautions)
    assert any("higher than the depth" in c for c in run(**{**STACK, "depth": "39 mm"}).cautions)


def test_too_many_shims_are_refused() -> None:
    with pytest.raises(BadInput, match="more than 12"):
        run(**STACK, shims="13x0.1 mm")


@pytest.mark.parametrize("heights", ["12, -1 mm", "1e305 m", "0 mm"])
def test_heights_that_cannot_be_are_refused(heights: str) -> None:
    with pytest.raises(BadInput, match=r"each must be from 0\.001 mm to 1,000 mm\.$"):
        run(**{**STACK, "heights": heights})


def test_a_thread_of_several_starts_travels_so_many_pitches_a_turn() -> None:
    one = run(**{**STACK, "pitch": "4 mm"}).values
    two = run(**STACK, starts="2").values
    assert two["stop_angle"] == pytest.approx(one["stop_angle"])
    assert len(two["other_starts"]) == 1  # type: ignore[arg-type]
    other = two["other_starts"][0]  # type: ignore[index]
    assert (other - two["best_clockwise"]) % (2 * math.pi) == pytest.approx(math.pi)  # type: ignore[operator]


def test_soft_rings_give_way_by_clamp_over_stiffness() -> None:
    """Hooke's law: 11 kN on 85 kN/mm and 90 kN/mm give 0.1294 mm and 0.1222 mm."""
    hard = run(**STACK).values["stop_angle"]
    soft = run(**STACK, stiffness="85, 90 kN/mm", clamp="11 kN").values["stop_angle"]
    turned = 2 * math.pi * (11 / 85 + 11 / 90) / 2
    assert (soft - hard) % (2 * math.pi) == pytest.approx(turned)  # type: ignore[operator]
    with pytest.raises(BadInput, match="clamp"):
        run(**STACK, stiffness="85 kN/mm")


def test_draws_agree_with_the_root_of_the_sum_of_squares_and_worst_case_is_widest() -> None:
    found = run(**STACK, stiffness="85, 90 kN/mm", clamp="11 kN", spreads="15, 40, 25, 40 um",
                depth_spread="20 um").values  # fmt: skip
    sizes = math.hypot(15e-6, 40e-6, 25e-6, 40e-6, 20e-6)
    squeeze = (11e3 / 85e6, 11e3 / 90e6)
    soft = math.hypot(*(0.1 * s for s in squeeze), 0.15 * sum(squeeze))
    by_hand = 2 * math.pi / 2e-3 * math.hypot(sizes, soft)
    assert found["spread"] == pytest.approx(by_hand)
    assert found["spread_monte_carlo"] == pytest.approx(by_hand, rel=0.03)
    assert found["spread_worst_case"] > 2 * found["spread"]
    assert found["low"] < found["best_angle"] < found["high"]


def test_spreads_have_to_fit_the_heights() -> None:
    with pytest.raises(BadInput, match="each of the 4"):
        run(**STACK, spreads="20, 20 um")
