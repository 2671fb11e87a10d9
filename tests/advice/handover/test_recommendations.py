"""What would ease the pump's work does so when it is done."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from wetend.advice.handover.duty import duty_of, with_hose, with_orifice
from wetend.advice.handover.recommendations import cycle_advice, hose_advice
from wetend.advice.handover.settings import EASY_CYCLES, MUCH_LOSS
from wetend.pump.readings import SetUpRequest
from wetend.pump.toml import demo_coatings, demo_pump

PUMP = demo_pump("quay-air")
DUTY = duty_of(PUMP, demo_coatings()[2], SetUpRequest())
MOST = PUMP.limits.cycle_rate_high


def figures(sentence: str, unit: str) -> list[float]:
    return [float(f.replace(",", "")) for f in re.findall(rf"([\d.,]+) {unit}", sentence)]


def test_the_smaller_nozzle_it_names_brings_the_strokes_down_to_easy_ones() -> None:
    """Flow goes by the hole's area at one pressure, and the strokes with it."""
    wide = with_orifice(DUTY, 1.2e-3)
    point = wide.at(1.2e7)
    assert point.cycle_rate > EASY_CYCLES * MOST
    (told,) = cycle_advice(wide, point)
    orifice = figures(told, "mm")[0] * 1e-3
    then = with_orifice(DUTY, orifice).at(1.2e7).cycle_rate
    assert then == pytest.approx(EASY_CYCLES * MOST, rel=0.01)
    assert not list(cycle_advice(wide, replace(point, cycle_rate=0.99 * EASY_CYCLES * MOST)))


def test_the_hoses_it_names_lose_what_it_says() -> None:
    long = with_hose(DUTY, length_factor=6.0)
    point = long.at(1.2e7)
    assert point.hose_loss > MUCH_LOSS * point.pump_pressure
    larger, shorter, *_ = hose_advice(long, point)
    now, then = figures(larger, "bar")
    assert now == pytest.approx(point.hose_loss / 1e5, rel=0.01)
    bore = figures(larger, "mm")[0] * 1e-3
    wider = with_hose(long, bore=bore).at(1.2e7).hose_loss
    assert then == pytest.approx(wider / 1e5, rel=0.02)
    half = with_hose(long, length_factor=0.5).at(1.2e7).hose_loss
    assert figures(shorter, "bar")[1] == pytest.approx(half / 1e5, rel=0.02)
    assert not list(hose_advice(DUTY, replace(point, hose_loss=0.1 * point.pump_pressure)))
