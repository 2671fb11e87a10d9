"""What is read off a known pump is right on the whole, with errors of thumb, needle and rule."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from wetend.advice.diagnosis.reading_off import STROKES, read_off
from wetend.pump.readings import CheckKey

SHOWN: Any = {
    "up_time": 1.3, "down_time": 1.1, "cycle_rate": 0.4, "cycle_volume": 80e-6, "creep_up": 2e-4,
    "creep_down": 5e-5, "stall_pressure": 2.8e7, "spray_pressure": 2.1e7, "drop": 0.2,
    "slow_drop": 0.1, "turn_pause": 0.5, "knock": 0.0, "supply_pressure": 6e5, "air_seen": 1.0,
}  # fmt: skip


def readings(check: CheckKey, times: int = 300) -> list[dict[str, Any]]:
    rng = np.random.default_rng(5)
    return [read_off([check], SHOWN, rng) for _ in range(times)]


def mean(found: list[dict[str, Any]], name: str) -> float:
    return float(np.mean([each[name] for each in found]))


def test_eight_strokes_each_way_are_tapped() -> None:
    found = readings("strokes")
    assert all(len(each["up_times"]) == len(each["down_times"]) == STROKES for each in found)
    assert mean(found, "up_times") == pytest.approx(1.3, rel=0.01)
    assert mean(found, "down_times") == pytest.approx(1.1, rel=0.01)


def test_a_bucket_holds_what_its_cycles_deliver_in_the_time_they_take() -> None:
    found = readings("bucket")
    per_cycle = [each["bucket_volume"] / each["bucket_cycles"] for each in found]
    assert np.mean(per_cycle) == pytest.approx(80e-6, rel=0.01)
    rate = [each["bucket_cycles"] / each["bucket_time"] for each in found]
    assert np.mean(rate) == pytest.approx(0.4, rel=0.01)


@pytest.mark.parametrize(
    ("check", "name", "within"),
    [("creep", "creep_up", 0.02), ("creep", "creep_down", 0.05), ("creep", "stall_pressure", 0.01),
     ("gauge-spray", "spray_pressure", 0.01), ("supply", "supply_pressure", 0.01),
     ("cycles", "cycle_rate", 0.01), ("early-drop", "drop", 0.02), ("slow", "slow_drop", 0.02),
     ("changeover", "turn_pause", 0.02)],
)  # fmt: skip
def test_no_reading_is_wrong_to_one_side(check: CheckKey, name: str, within: float) -> None:
    assert mean(readings(check), name) == pytest.approx(SHOWN[name], rel=within)


def test_what_is_surely_there_is_seen_and_what_is_surely_not_is_not() -> None:
    assert {each["changeover"] for each in readings("changeover", 30)} == {"even"}
    assert len({str(each) for each in readings("air", 30)}) == 1
