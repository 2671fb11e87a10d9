"""What the compiled strokes compute for themselves: logarithm, power, leaks, the hose's table."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wetend.physics.stroke.gap import LeakRate, blend
from wetend.physics.stroke.losses import tabulate
from wetend.physics.stroke.rows import HoseTable, both_leaks, exp2, hose_cell, log2, raised

EXACT = 4e-15


@pytest.mark.parametrize("x", [*np.geomspace(1e-300, 1e300, 61), *np.linspace(0.5, 3.0, 41), 1.0])
def test_the_logarithm_is_the_libraries(x: float) -> None:
    assert float(log2(x)) == pytest.approx(math.log2(x), rel=EXACT, abs=EXACT)


@pytest.mark.parametrize("y", [*np.linspace(-999.3, 999.7, 61), *np.linspace(-2.0, 2.0, 81)])
def test_the_power_of_two_is_the_libraries(y: float) -> None:
    assert float(exp2(y)) == pytest.approx(math.pow(2.0, y), rel=EXACT)


@pytest.mark.parametrize("power", [0.4, 1.5, 3.0])
def test_a_number_raised_is_the_libraries(power: float) -> None:
    for ratio in np.geomspace(1e-12, 3.0, 20):
        assert float(raised(ratio, power)) == pytest.approx(ratio**power, rel=1e-13)


@pytest.mark.parametrize("power", [1.0, 1.4, 2.5])
def test_both_leaks_are_each_that_of_the_steady_model(power: float) -> None:
    rates = [(2e-5, 4e-5), (1e-6, 3e-7)]
    for ratio in (1e-6, 0.02, 0.6, 1.7):
        given = [v for slow, fast in rates for v in (2 * slow, (2 * slow / fast) ** 2)]
        found = both_leaks(ratio, ratio**power, power, tuple(given))  # type: ignore[arg-type]
        for place, (slow, fast) in enumerate(rates):
            rate = LeakRate(np.array([slow]), np.array([fast]))
            flow, slope = blend(rate, np.array([ratio]), power)
            assert found[place] == pytest.approx(float(flow[0]), rel=1e-12)
            assert found[2 + place] == pytest.approx(float(slope[0]), rel=1e-12)


@pytest.mark.parametrize("scale", [1.0, 2.3])
def test_the_hoses_table_is_read_as_the_plain_model_reads_it(scale: float) -> None:
    made = tabulate(lambda flow, scale: 1e12 * flow**1.2 * scale, flow_high=1e-4)
    reader = made.reader(np.array([scale]))
    scales = np.asarray(made.scales, dtype=float)
    row = int(np.clip(np.searchsorted(scales, scale) - 1, 0, max(len(scales) - 2, 0)))
    losses = np.asarray(made.losses, dtype=float)
    if len(scales) == 1:
        losses, scales = np.vstack([np.zeros_like(losses), losses]), np.array([0.0, 1.0])
        row = 0
    share = (scale - scales[row]) / (scales[row + 1] - scales[row])
    table = HoseTable(losses.ravel(), scales, float(made.step))
    for flow in (1e-7, 3e-6, 4.2e-5, 9.9e-5, 1.3e-4):
        lower, rise, within = hose_cell(math.sqrt(flow) / table.step, table, float(row), share)
        plain, _ = reader.at(np.array([flow]))
        assert lower + rise * within == pytest.approx(float(plain[0]), rel=1e-9)
