"""Each line of the set-up sheet turns from enough to watch to fail where its bound lies."""

from __future__ import annotations

from dataclasses import replace

import pytest

from wetend.advice.handover.duty import SuctionState, duty_of, stall_at
from wetend.advice.handover.settings import (
    cycle_setting,
    rating_setting,
    suction_setting,
    supply_setting,
)
from wetend.advice.ratings import weakest
from wetend.advice.reasons import Verdict
from wetend.pump.readings import SetUpRequest
from wetend.pump.toml import demo_coatings, demo_pump

PUMP = demo_pump("quay-air")
DUTY = duty_of(PUMP, demo_coatings()[2], SetUpRequest())
ENOUGH, WATCH, FAIL = Verdict.ENOUGH, Verdict.WATCH, Verdict.FAIL


@pytest.mark.parametrize(("share", "verdict"), [(0.5, ENOUGH), (0.94, ENOUGH), (0.96, WATCH)])
def test_a_supply_within_a_twentieth_of_its_rating_has_no_reserve(share, verdict) -> None:
    # The bounds here are our own choice, common practice, no source.
    assert supply_setting(DUTY, share * PUMP.drive.supply_rated).verdict is verdict


@pytest.mark.parametrize(
    ("share", "verdict"), [(0.89, ENOUGH), (0.91, WATCH), (1.0, WATCH), (1.001, FAIL)]
)
def test_a_stall_over_the_weakest_rating_fails_and_one_at_it_is_watched(share, verdict) -> None:
    # Common practice, no source: the weakest part governs.
    supply = share * weakest(PUMP)[0] / stall_at(PUMP, 1.0)
    assert rating_setting(DUTY, supply).verdict is verdict


@pytest.mark.parametrize(("share", "verdict"), [(0.79, ENOUGH), (0.81, WATCH), (1.01, FAIL)])
def test_strokes_are_easy_up_to_four_fifths_of_the_most(share, verdict) -> None:
    rate = share * PUMP.limits.cycle_rate_high
    point = replace(DUTY.at(1.5e7), cycle_rate=rate)
    assert cycle_setting(DUTY, point).verdict is verdict


@pytest.mark.parametrize(("margin", "verdict"), [(31e3, ENOUGH), (29e3, WATCH), (-1.0, FAIL)])
def test_a_suction_without_margin_does_not_fill(margin, verdict) -> None:
    state = SuctionState(1e-4, 0.0, 0.0, 0.0, 0.0, margin)
    assert suction_setting(state).verdict is verdict
