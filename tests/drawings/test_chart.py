"""The chart of an answer: marks at round figures, the point on the curve, the reader's units."""

from __future__ import annotations

import re

import pytest

from wetend.drawings.chart import Axis, Chart, chart
from wetend.drawings.ink import standalone
from wetend.telling.reader import Reader
from wetend.units.quantity import M, Pa, unit_of

LINE = Chart(
    "Loss over length", Axis("length", unit_of(M)), Axis("pressure lost", unit_of(Pa)),
    [(x / 100, 1e5 * x) for x in range(5, 16)], (0.1, 1e6), 1e5,
)  # fmt: skip


def _marks(svg: str) -> set[str]:
    return set(re.findall(r">(-?[\d.]+)</text>", svg))


def test_it_reads_in_the_units_of_whoever_reads_it() -> None:
    metric, imperial = chart(LINE), chart(LINE, reader=Reader("imperial"))
    assert {"5", "10", "15", "60", "80", "100"} & _marks(metric)
    assert ">Pressure lost, bar</text>" in metric
    assert ">Pressure lost, psi</text>" in imperial
    assert _marks(metric) != _marks(imperial)
    assert re.search(r"Pressure lost 10[.0]* bar at length 100[.0]* mm\.", metric)


def test_the_point_lies_on_the_curve_within_the_band() -> None:
    svg = chart(LINE)
    x, y = map(float, re.search(r'class="dw-dot" cx="([\d.]+)" cy="([\d.]+)"', svg).groups())
    curve = re.search(r'class="dw-accent-line" d="M([^"]+)"', svg)[1]
    ends = [tuple(map(float, p.split())) for p in curve.split("L")]
    (x0, y0), (x1, y1) = ends[0], ends[-1]
    assert y == pytest.approx(y0 + (y1 - y0) * (x - x0) / (x1 - x0))
    assert 'class="dw-band"' in svg


def test_on_paper_it_needs_no_sheet_of_the_page() -> None:
    assert "var(--" not in standalone(chart(LINE))
