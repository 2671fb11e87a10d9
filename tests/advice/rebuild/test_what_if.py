"""Shims tried before they go in, and where the elbow's spread comes from."""

from __future__ import annotations

import math

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from wetend.advice.rebuild.fit import fit_stack
from wetend.advice.rebuild.what_if import ShimsTried, what_if
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.pump.toml import demo_pump

QUAY, YARD = demo_pump("quay-air"), demo_pump("yard-hydraulic")
TIN = (1e-3, 5e-4, 5e-4, 2.5e-4, 1e-4)
TURN = 2 * math.pi


def test_what_was_worked_out_tried_is_the_same() -> None:
    measured = StackMeasured(tin=TIN)
    fit = fit_stack(QUAY, measured, draws=500)
    right, tried = what_if(QUAY, measured, fit, ShimsTried(on_top=fit.shims[::-1]))
    assert tried.why == ""
    assert (tried.stop_angle, tried.lift) == pytest.approx((right.stop_angle, right.lift))
    assert right.stop_angle == pytest.approx(fit.stop_angle)


@costly(10)
@given(st.lists(st.sampled_from(TIN), max_size=4), st.lists(st.sampled_from(TIN), max_size=3))
def test_each_shim_turns_the_stop_by_its_part_of_the_pitch_and_lifts_only_from_below(
    on_top: list[float], under: list[float]
) -> None:
    """By hand: angle falls by 360 degrees times thickness over pitch; lift grows by what is under
    the cage. Geometry of the screw."""
    measured = StackMeasured(tin=TIN)
    fit = fit_stack(QUAY, measured, draws=200)
    tried_shims = ShimsTried(on_top=tuple(on_top), under=tuple(under))
    right, tried = what_if(QUAY, measured, fit, tried_shims)
    more = sum(on_top) + sum(under) - sum(fit.shims)
    turned = (right.stop_angle - tried.stop_angle - TURN * more / QUAY.stack.pitch) % TURN
    assert min(turned, TURN - turned) == pytest.approx(0, abs=1e-6)
    assert tried.lift - right.lift == pytest.approx(sum(under), abs=1e-9)


def test_under_a_clamp_ring_shims_change_the_clamp_and_not_the_elbow() -> None:
    measured = StackMeasured(tin=TIN)
    fit = fit_stack(YARD, measured, draws=500)
    right, tried = what_if(YARD, measured, fit, ShimsTried(on_top=(*fit.shims, 1e-4)))
    assert tried.stop_angle == right.stop_angle
    give = 1 / 150e6 + 1 / 160e6  # the soft rings' stiffness in the description
    assert tried.clamp - right.clamp == pytest.approx(1e-4 / give, rel=1e-6)


@pytest.mark.parametrize("shims", [(-1e-3,), (0.0,), (0.5,), (1e-3,) * 13])
def test_shims_that_can_not_be_are_refused(shims: tuple[float, ...]) -> None:
    with pytest.raises(ValidationError):
        ShimsTried(on_top=shims)


@pytest.mark.parametrize("heights", [{}, {"cage": 0.024, "seat": 0.012}])
def test_the_spread_is_the_sum_of_its_parts_and_worst_case_the_widest(heights) -> None:
    fit = fit_stack(QUAY, StackMeasured(tin=TIN, heights=heights), draws=40_000)
    sure = fit.sureness
    assert sure is not None
    assert sum(p.share for p in sure.parts) == pytest.approx(1)
    by_hand = math.hypot(*(p.spread for p in sure.parts)) / QUAY.stack.pitch * TURN
    assert sure.rss == pytest.approx(by_hand)
    assert sure.monte_carlo == pytest.approx(1.645 * sure.rss, rel=0.03)
    assert sure.worst > 2 * sure.rss
    assert {p.title for p in sure.parts if p.measured} == set(heights)


def test_a_direction_set_by_hand_has_no_spread_of_the_stack() -> None:
    sure = fit_stack(YARD, StackMeasured(tin=TIN), draws=500).sureness
    assert sure is not None
    assert (sure.worst, sure.rss, sure.parts) == (0.0, 0.0, ())


def pump_with(**stack: object) -> Pump:
    return QUAY.model_copy(update={"stack": QUAY.stack.model_copy(update=stack)})


def test_two_starts_halve_what_a_shim_turns() -> None:
    measured = StackMeasured(tin=TIN)
    for starts in (1, 2, 3):
        pump = pump_with(starts=starts)
        fit = fit_stack(pump, measured, draws=200)
        right, tried = what_if(pump, measured, fit, ShimsTried(on_top=(*fit.shims, 1e-4)))
        turned = (right.stop_angle - tried.stop_angle) % TURN
        assert turned == pytest.approx(TURN * 1e-4 / (starts * pump.stack.pitch))
