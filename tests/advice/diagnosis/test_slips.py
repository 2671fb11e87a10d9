"""Slips of one reading are named, asked for again or harmless."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from reading_slips import MISSED, SLIPS, case

from wetend.advice.diagnosis.diagnose import Diagnosis, diagnose, predict
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings, demo_pump

QUAY, EPOXY = demo_pump("quay-air"), demo_coatings()[0]
SOUND = predict(QUAY, EPOXY)
READ: dict[str, Any] = {
    "up_times": (SOUND.up_time,) * 8, "down_times": (SOUND.down_time,) * 8,
    "spray_pressure": SOUND.spray_pressure, "stall_pressure": SOUND.stall_pressure,
    "temperature": EPOXY.temperature,
}  # fmt: skip


def _told(**other: Any) -> Diagnosis:
    return diagnose(QUAY, EPOXY, CheckReadings(**READ | other), particles=4000)


def test_of_slips_of_one_reading_hardly_any_is_missed() -> None:
    """Two of each kind, of 200 that benchmarks/reading_slips.py tries: 95 % at least."""
    outcomes = Counter(case(number, 2000)[1] for number in range(2 * len(SLIPS)))
    assert outcomes["named"] > len(SLIPS) / 2
    assert outcomes[MISSED] <= 0.05 * outcomes.total()


@pytest.mark.parametrize("factor", [0.1, 10.0])
@pytest.mark.parametrize("name", ["spray_pressure", "stall_pressure"])
def test_a_decimal_place_out_is_asked_for_again_or_left_out(name: str, factor: float) -> None:
    found = _told(**{name: factor * READ[name]} if factor * READ[name] < 2e8 else {name: 2e8})
    assert not found.leave_wet_end or found.remarks
    named = (*found.remarks, found.next_check)
    assert any("auge" in told for told in named)


def test_a_decimal_place_out_says_what_would_fit() -> None:
    found = _told(drop=0.3, cycle_rate=10 / (SOUND.up_time + SOUND.down_time))
    assert any("decimal place out" in told and "cycles a minute" in told for told in found.remarks)
    assert "cycles a minute" in found.next_check
    assert not found.explained


def test_creep_the_other_way_than_the_quick_stroke_is_asked_for_again() -> None:
    """Common practice: a quick down-stroke creeps down, a quick up-stroke creeps up."""
    quick = {"down_times": (0.75 * SOUND.down_time,) * 8}
    wrong = _told(**quick, creep_up=0.012, creep_down=0.0)
    right = _told(**quick, creep_up=0.0, creep_down=0.012)
    assert any("exchanged" in told for told in wrong.remarks)
    assert not any("exchanged" in told for told in right.remarks)


def test_strokes_in_each_others_place_are_told() -> None:
    """A pump that draws air drops on the way down; read the other way round it fits nothing."""
    cart = {"drop": 0.3, "slow_drop": 0.3, "air_seen": "yes"}
    up, down = 1.05 * SOUND.up_time, 0.72 * SOUND.down_time
    right = _told(up_times=(up,) * 8, down_times=(down,) * 8, **cart)
    wrong = _told(up_times=(down,) * 8, down_times=(up,) * 8, **cart)
    assert not any("exchanged" in told for told in right.remarks)
    assert any("exchanged" in told for told in wrong.remarks)


def test_readings_of_a_sound_pump_are_no_slips() -> None:
    assert not _told(creep_up=0.0, creep_down=0.0, drop=0.02, wet_cup="clean").remarks
