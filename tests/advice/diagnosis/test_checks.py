"""Which checks are worth asking for, after what was read already."""

from __future__ import annotations

import pytest

from wetend.advice.diagnosis.checks import CHECKS, known_keys
from wetend.pump.readings import CheckReadings


@pytest.mark.parametrize(
    ("read", "known"),
    [
        ({"up_time"}, {"rhythm"}),  # the rhythm is one stroke's time over the other's
        ({"down_time"}, {"rhythm"}),
        ({"flow"}, {"cycle_volume", "cycle_rate"}),  # a bucket gives both
        ({"cycle_volume"}, {"cycle_volume", "cycle_rate"}),
        ({"slow_turn"}, {"slow_turn", "turn_pause"}),
        ({"early_drop"}, {"drop"}),
        ({"wet_cup"}, set()),
    ],
)
def test_what_follows_from_a_reading_is_not_asked_again(read, known) -> None:
    assert known_keys(CheckReadings(), read) == read | known


def test_a_changeover_felt_says_all_that_feeling_it_can_say() -> None:
    felt = known_keys(CheckReadings(changeover="knocks"), ())
    assert felt == {"turn_pause", "slow_turn", "knock"}


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.key)
def test_what_could_not_be_done_is_not_asked_again(check) -> None:
    assert set(check.reads) <= known_keys(CheckReadings(could_not=(check.key,)), ())
