"""Intervals and bars: every row drawn, longer where more, and told in words."""

from __future__ import annotations

import re

import pytest

from wetend.drawings.rates import bars, interval_plot

ROWS = [("Quay", 0.1, 0.4, 0.9), ("Yard", 0.0, 0.0, 0.7)]


def test_each_row_has_its_dot_on_its_interval() -> None:
    drawn = interval_plot(ROWS, title="By site", unit="a 1,000 L", all_together=0.2)
    dots = [float(x) for x in re.findall(r'<circle[^>]* cx="([\d.]+)"', drawn)]
    assert len(dots) == 2
    assert dots[0] > dots[1]
    assert "Quay: 0.4 (0.1 to 0.9)" in drawn


def test_a_name_that_is_markup_stays_words() -> None:
    drawn = interval_plot([("<b>", 0.0, 0.1, 0.2)], title="t", unit="u", all_together=0.1)
    assert "<b>" not in drawn


def test_bars_are_as_long_as_their_counts() -> None:
    drawn = bars([("nozzle", 30), ("rod", 10)], title="Failures by part")
    widths = [float(w) for w in re.findall(r'<rect[^>]* width="([\d.]+)"', drawn)]
    assert widths[0] == pytest.approx(3 * widths[1], rel=1e-3)
