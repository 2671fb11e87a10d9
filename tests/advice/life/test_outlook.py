"""What to do first, then how sure: chances and days from draws."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from wetend.advice.life.outlook import SECONDS_A_DAY, act_text, days_text, odds_text, outlook_of

TODAY = date(2031, 6, 1)


def test_chance_and_days_are_those_of_the_draws() -> None:
    # by hand: evenly spread over 0 to 280 days, 28 days are one in ten and 140 one in two
    found = outlook_of(np.linspace(0.1, 280.0, 2800) * SECONDS_A_DAY, TODAY)
    assert found.soon == pytest.approx(0.1, abs=0.001)
    assert found.early == date(2031, 6, 29)
    assert found.middle == date(2031, 10, 19)
    assert act_text(found) == "Check by 29 June."
    assert odds_text(found) == (
        "10 % fail within four weeks; one in ten by 29 June, one in two by 19 October"
    )


@pytest.mark.parametrize(
    ("days", "act", "words"),
    [
        ([-1.0] * 6 + [50.0] * 4, "Replace at the next stop.", "60 % failed already"),
        ([-1.0] * 2 + [50.0] * 8, "Check at the next stop.",
         "20 % failed already, one in two by 21 July"),
        ([0.5] * 10, "Check at the next stop.", "one in ten by 1 June, one in two by 1 June"),
        ([1e9] * 10, "Nothing to plan.", "one in ten not within a lifetime"),
        ([50.0] * 3 + [1e9] * 7, "Check by 21 July.", "one in ten by 21 July"),
    ],
)  # fmt: skip
def test_what_to_do_holds_at_either_end(days: list[float], act: str, words: str) -> None:
    found = outlook_of(np.array(days) * SECONDS_A_DAY, TODAY)
    assert act_text(found) == act
    assert days_text(found) == words
