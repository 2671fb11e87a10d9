"""Drawings of lives, policies and boxes: well-formed, told in words, within the sheet."""

import math
import re
import xml.etree.ElementTree as ET

import pytest

from wetend.advice.fleet.month import Outcome
from wetend.advice.life.learned import learn
from wetend.advice.life.plot import PlotPoint, ProbabilityPlot, probability_plot
from wetend.advice.life.remaining import RemainingLife
from wetend.advice.reasons import Interval, Verdict
from wetend.advice.stores.call_box import best_box, faults_before_checks
from wetend.drawings import life, policies
from wetend.drawings.box_curve import box_curve
from wetend.drawings.svg import WIDE
from wetend.telling.reader import Reader

DAY = 86400.0


def part(low: float, middle: float, high: float) -> RemainingLife:
    days = Interval(low * DAY, middle * DAY, high * DAY)
    return RemainingLife("rod", "rod", 1.0, days, days, days, 0.1, Verdict.KEEP, "long", "", 3)


def inside(svg: str) -> None:
    root = ET.fromstring(svg)
    assert root.find("{http://www.w3.org/2000/svg}desc").text
    for x in re.findall(r'\bx="([-\d.]+)"', svg):
        assert -1 <= float(x) <= WIDE + 1
    for path in re.findall(r' d="([^"]+)"', svg):
        assert "nan" not in path.lower()


@pytest.mark.parametrize(
    "spans", [(0.0, 0.0, 0.0), (1, 5, 20), (10, 300, 5000), (900, 2000, 1e6), (0, 1, math.pi)]
)
def test_bars_stay_on_the_sheet(spans) -> None:
    inside(life.bars([part(*spans)]))
    inside(life.bars([]))


def test_a_plot_without_a_failure_and_with_one() -> None:
    fleet = learn([])
    x = fleet.beliefs["rod"].coefficients[0] * 0.0
    x[0] = 1.0
    empty = probability_plot(fleet, "rod", x, per_wear=1e-12)
    inside(life.probability(empty))
    one = ProbabilityPlot(
        "rod", (PlotPoint(1.0, 0.5),), empty.lives, empty.low, empty.middle, empty.high, 0.5, 1, 0
    )
    inside(life.probability(one, reader=Reader("imperial")))
    assert "1 failed" in life.probability(one)


def test_costs_and_the_box() -> None:
    span = Interval(10.0, 20.0, 30.0)
    outcome = Outcome("by <forecast>", span, span, span, span, {}, span)
    svg = policies.costs([outcome, outcome])
    inside(svg)
    assert "&lt;forecast&gt;" in svg
    inside(policies.costs([]))
    for room in (1e-5, 2e-3, 1.0):
        inside(box_curve(best_box(faults_before_checks([], {}), room=room), room))
