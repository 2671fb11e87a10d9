"""The curve of a part's life: today, the days to act by, the best day; always on its sheet."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import date

import numpy as np
import pytest

from wetend.advice.life.outlook import outlook_of
from wetend.drawings.failing import failing
from wetend.drawings.svg import WIDE
from wetend.telling.reader import Reader

DAY = 86400.0
TODAY = date(2031, 6, 1)


def drawn(days: np.ndarray, best: date | None = None, system: str = "metric") -> str:
    reader = Reader("imperial" if system == "imperial" else "metric")
    return failing(outlook_of(days * DAY, TODAY), "rod", best=best, reader=reader)


def test_it_names_today_the_two_days_and_the_best() -> None:
    # by hand: a tenth of 10 to 410 days is 50 days, the half 210
    svg = drawn(np.linspace(10.0, 410.0, 4001), date(2031, 8, 1))
    for said in ("today", "21 July", "28 December", "best day to replace: 1 August", "1 in 10"):
        assert f">{said}</text>" in svg, said
    assert "one in ten by 21 July, one in two by 28 December." in svg


def test_a_day_that_is_past_or_out_of_the_picture_is_not_marked() -> None:
    svg = drawn(np.concatenate([np.full(200, -1.0), np.linspace(1.0, 2000.0, 800)]))
    assert "dw-dot" in drawn(np.linspace(10.0, 410.0, 4001))
    assert "1 June" not in svg


@pytest.mark.parametrize(
    "days",
    [np.full(50, -3.0), np.full(50, 0.0), np.full(50, 1e7), np.linspace(-5.0, 1e6, 50),
     np.linspace(0.0, 0.5, 50), np.array([100.0])],
    ids=["all failed", "all today", "never", "far spread", "within hours", "one draw"],
)  # fmt: skip
def test_it_stays_on_its_sheet(days: np.ndarray) -> None:
    svg = drawn(days, date(2040, 1, 1))
    root = ET.fromstring(svg)
    described = root.find("{http://www.w3.org/2000/svg}desc")
    assert described is not None
    assert described.text
    for x in re.findall(r'\bx="([-\d.]+)"', svg):
        assert 0 <= float(x) <= WIDE
    assert "nan" not in svg.lower()
