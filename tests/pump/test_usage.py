"""What a pump did between two days."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from pydantic import ValidationError

from wetend.pump.usage import Usage

FIRST = date(2020, 1, 1)


@pytest.mark.parametrize(("days", "good"), [(-1, False), (0, True), (3660, True), (3661, False)])
def test_a_span_is_from_a_day_to_ten_years(days: int, good: bool) -> None:
    """Ten years with their leap days, and a week in hand."""
    said = {"first": FIRST, "last": FIRST + timedelta(days=days), "cycles": 100.0}
    if good:
        assert Usage(**said).cycles == 100.0
    else:
        with pytest.raises(ValidationError):
            Usage(**said)


@pytest.mark.parametrize("name", ["cycles", "pumped", "at_work", "area"])
def test_one_figure_is_enough_and_none_is_not(name: str) -> None:
    assert getattr(Usage(first=FIRST, last=FIRST, **{name: 5.0}), name) == 5.0
    with pytest.raises(ValidationError):
        Usage(first=FIRST, last=FIRST)
