"""Gauges that can't be right, and checks said not to be done that were read."""

from __future__ import annotations

from typing import Any, get_args

import numpy as np
import pytest

from wetend.advice.diagnosis.checks import CHECKS
from wetend.advice.diagnosis.diagnose import Diagnosis, diagnose, predict
from wetend.advice.diagnosis.doubts import (
    NEXT_TO_NOTHING,
    STROKES,
    gauge_doubts,
    given_all_the_same,
    remarks,
    supply_remark,
    time_remarks,
)
from wetend.advice.diagnosis.posterior import weigh
from wetend.advice.diagnosis.prediction import predict_at
from wetend.advice.diagnosis.prior import Setting
from wetend.advice.faults.record import Fault
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

QUAY, EPOXY = demo_pump("quay-air"), demo_coatings()[0]
SOUND = predict(QUAY, EPOXY)


def _strokes(slower: float = 1.0, **other: Any) -> CheckReadings:
    up, down = slower * SOUND.up_time, slower * SOUND.down_time
    return CheckReadings(up_times=(up,) * 8, down_times=(down,) * 8, **other)


def _chances(found: Diagnosis) -> dict[Fault, float]:
    return {finding.fault: finding.probability for finding in found.findings}


@pytest.mark.parametrize("slower", [1.0, 0.8, 1.5])
@pytest.mark.parametrize("gauge", [0.0, 4e5])
def test_a_dead_gauge_is_told_and_says_nothing(slower: float, gauge: float) -> None:
    """With a gauge that reads next to nothing all is believed as with no gauge: no trade fact."""
    with_it = diagnose(QUAY, EPOXY, _strokes(slower, spray_pressure=gauge, stall_pressure=gauge))
    blank = diagnose(QUAY, EPOXY, _strokes(slower))
    assert _chances(with_it) == _chances(blank)
    assert with_it.why == blank.why
    assert [r[:35] for r in with_it.remarks] == ["The gauge reads next to nothing whi",
                                                 "The gauge reads next to nothing at "]  # fmt: skip
    assert all("Read another" in told for told in with_it.remarks)
    assert "gauge-spray" in {check.key for check in with_it.checks}
    assert [c.says for c in with_it.contributions[-2:]] == ["Doubtful, so left out."] * 2
    assert not blank.remarks


@pytest.mark.parametrize("share", [0.2, 0.5, 1.0])
def test_a_gauge_that_reads_something_is_weighed(share: float) -> None:
    spray, stall = share * SOUND.spray_pressure, share * SOUND.stall_pressure
    found = diagnose(QUAY, EPOXY, _strokes(spray_pressure=spray, stall_pressure=stall))
    assert not found.remarks
    assert len(found.contributions) == 4


@pytest.mark.parametrize("slower", [1 / 3, 3.0])
def test_a_pump_that_races_or_crawls_may_well_have_no_pressure(slower: float) -> None:
    """Common practice, no source: a pump fed from an empty pail races with no pressure."""
    assert not gauge_doubts(_strokes(slower, spray_pressure=0.0, stall_pressure=0.0), SOUND)


@pytest.mark.parametrize(("share", "doubted"), [(0.015, True), (0.05, False)])
def test_a_slow_pump_is_held_against_less(share: float, doubted: bool) -> None:
    """At half the pace a quarter of the pressure drives as much through the nozzle, so 2.5 %."""
    readings = _strokes(1.99, spray_pressure=share * SOUND.spray_pressure)
    assert bool(gauge_doubts(readings, SOUND)) == doubted


def test_nobody_having_timed_it_the_gauge_is_believed() -> None:
    assert not gauge_doubts(CheckReadings(spray_pressure=0.0, stall_pressure=0.0), SOUND)


def test_a_gauge_that_sprays_but_shows_no_stall_is_doubted_without_a_watch() -> None:
    readings = CheckReadings(spray_pressure=SOUND.spray_pressure, stall_pressure=0.0)
    assert [doubt.gauge for doubt in gauge_doubts(readings, SOUND)] == ["stall_pressure"]


@pytest.mark.parametrize(
    "timed",
    [{"cycle_rate": SOUND.cycle_rate}, {"up_times": (SOUND.up_time,)},
     {"bucket_cycles": 20.0, "bucket_time": 20.0 / SOUND.cycle_rate}],
)  # fmt: skip
def test_any_timing_tells_that_it_strokes(timed: dict[str, Any]) -> None:
    assert gauge_doubts(CheckReadings(spray_pressure=0.0, **timed), SOUND)


@pytest.mark.parametrize("pump", [demo_pump(k) for k in DEMO_PUMPS], ids=lambda p: p.key)
@pytest.mark.parametrize("coating", demo_coatings(), ids=lambda c: c.key)
def test_faulty_pumps_hardly_ever_read_so(pump: Pump, coating: Coating) -> None:
    """Second route: pumps with faults as usual, run; what the rule calls doubtful they don't do."""
    setting = Setting.of(pump, coating, CheckReadings())
    cloud = weigh(setting, (), particles=4000, seed=2)
    reads = cloud.played.reads
    sound = predict_at(pump, setting.liquid, None)
    pace = reads["cycle_rate"] / sound.cycle_rate
    least = NEXT_TO_NOTHING * np.minimum(pace, 1.0) ** 2 * sound.spray_pressure
    low = (reads["spray_pressure"] < least) & (pace > STROKES[0]) & (pace < STROKES[1])
    assert np.sum(cloud.weight[low]) < 1e-3
    assert reads["stall_pressure"].min() > 2 * NEXT_TO_NOTHING * sound.stall_pressure


def test_what_is_given_though_not_done_is_told_and_used() -> None:
    readings = _strokes(spray_pressure=SOUND.spray_pressure, could_not=("gauge-spray", "filter"))
    found = diagnose(QUAY, EPOXY, readings)
    (told,) = found.remarks
    assert told == (
        "“Read the gauge while spraying” stands under “could not do”, but a reading is "
        "entered: it is used."
    )
    assert any("gauge while spraying" in said.reading for said in found.contributions)
    again = readings.model_copy(update={"could_not": ("filter",)})
    assert _chances(diagnose(QUAY, EPOXY, again)) == _chances(found)


def test_a_doubtful_gauge_that_could_not_be_read_is_not_said_to_be_used() -> None:
    found = diagnose(QUAY, EPOXY, _strokes(spray_pressure=0.0, could_not=("gauge-spray",)))
    (told,) = found.remarks
    assert "left out" in told


def test_two_given_though_not_done_are_told_in_one_sentence() -> None:
    readings = _strokes(wet_cup="clean", could_not=("strokes", "wet-cup", "look", "bucket"))
    assert given_all_the_same(readings) == ("strokes", "wet-cup")
    (told,) = remarks(readings, ())
    assert "“Time the strokes” and “Look in the wet cup” stand under" in told


GIVEN: dict[str, Any] = {
    "up_times": (1.0,), "spray_pressure": 2e7, "stall_pressure": 2e7, "creep_up": 0.0,
    "supply_pressure": 5e5, "wet_cup": "clean", "drop": 0.0, "slow_drop": 0.1, "turn_pause": 0.2,
    "bucket_volume": 0.01, "cycle_rate": 0.5, "changeover": "even", "creep_place":
    "the same everywhere", "suction_lifted": "holds", "fresh_suction": "better", "air_seen": "no",
    "filter_looked": "clean", "nozzle_changed": "better", "outside_looked": "dry",
    "solvent_test": "holds", "wash": "no change", "nozzle_turned": "better",
}  # fmt: skip


def test_every_check_is_known_by_its_readings() -> None:
    every = get_args(CheckKey)
    assert set(every) == {check.key for check in CHECKS}
    assert set(given_all_the_same(CheckReadings(could_not=every, **GIVEN))) == set(every)
    assert given_all_the_same(CheckReadings(could_not=every)) == ()


def test_stroke_times_left_out_are_named() -> None:
    """One out by ten, in eight: the rest count as without it."""
    times = (SOUND.up_time,) * 7
    found = diagnose(
        QUAY, EPOXY,
        CheckReadings(up_times=(*times, 10 * SOUND.up_time), down_times=(SOUND.down_time,) * 8),
        particles=2000,
    )  # fmt: skip
    (told,) = found.remarks
    assert told.startswith("Left out, as far from the other times of an up-stroke: 13.3 s")


def test_two_stroke_times_that_cannot_both_be_right_are_told() -> None:
    readings = CheckReadings(up_times=(1.3, 13.0), down_times=(1.4, 1.5))
    (told,) = time_remarks(readings)
    assert told.startswith("Two up-strokes took 1.30 s and 13.0 s: tap them again")
    assert time_remarks(CheckReadings(up_times=(1.3, 2.0))) == ()


@pytest.mark.parametrize(("share", "less"), [(0.76, "24 %"), (0.9, "10 %")])
def test_a_supply_under_its_rating_is_said_and_used(share: float, less: str) -> None:
    """A sound pump's stall is taken at the supply read; the drive is named, not the wet end."""
    supply = share * QUAY.drive.supply_rated
    stall = predict_at(QUAY, Setting.of(QUAY, EPOXY, CheckReadings()).liquid, supply)
    found = diagnose(
        QUAY, EPOXY,
        CheckReadings(supply_pressure=supply, stall_pressure=stall.stall_pressure), particles=4000,
    )  # fmt: skip
    (told,) = found.remarks
    assert told.startswith("The supply reads")
    assert f"{less} less force" in told
    assert found.healthy.stall_pressure == stall.stall_pressure
    first = found.findings[0]
    assert first.fault.id == "drive-weak" or share == 0.9
    assert not supply_remark(QUAY, CheckReadings(supply_pressure=0.97 * QUAY.drive.supply_rated))
