"""The calendar of planned visits: each on its day, the overdue on today, nothing off the sheet."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest

from wetend.drawings.month_strip import MOST_WEEKS, month_strip
from wetend.drawings.svg import WIDE

TODAY = date(2031, 6, 4)  # a Wednesday (by the calendar: 1 June 2031 is a Sunday)


def counts(svg: str) -> list[str]:
    return re.findall(r'dw-big"[^>]*>(\d+)<', svg)


def test_each_visit_stands_on_its_day_and_the_overdue_on_today() -> None:
    planned = {date(2031, 5, 1): 2, TODAY: 1, date(2031, 6, 20): 4}
    svg = month_strip(planned, TODAY, 30)
    assert counts(svg) == ["3", "4"]
    assert "7 planned visits." in svg
    assert ">2 Jun</text>" in svg  # the week begins on a Monday
    assert ">1 Jul</text>" in svg


@pytest.mark.parametrize("days", [1, 7, 30, 400])
def test_it_stays_on_its_sheet(days: int) -> None:
    svg = month_strip({TODAY + timedelta(days=k): 12 for k in range(days)}, TODAY, days)
    assert 1 <= len(counts(svg)) <= 7 * MOST_WEEKS
    for x in re.findall(r'\bx="([-\d.]+)"', svg):
        assert 0 <= float(x) <= WIDE
    assert "1 planned visit." in month_strip({TODAY: 1}, TODAY, days)
