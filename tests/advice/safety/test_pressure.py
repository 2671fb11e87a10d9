"""Which readings mean pressure, and the push of a loaded hose on the rod."""

from __future__ import annotations

import pytest

from wetend.advice.safety.pressure import (
    highest_pressure,
    loaded_hose,
    pressure_read,
    rod_push,
    stall_described,
)
from wetend.pump.measurements import ProofReadings
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_pump

BAR = 1e5


@pytest.mark.parametrize(
    ("read", "words"),
    [
        (CheckReadings(up_times=(1.2, 1.3)), "strokes timed"),
        (CheckReadings(cycle_rate=0.5, spray_pressure=2e7), "gauge read, strokes timed"),
        (CheckReadings(creep_down=0.001, stall_pressure=2e7), "gauge read, creep read"),
        (CheckReadings(bucket_volume=1e-3, bucket_time=10), "bucket filled"),
        (CheckReadings(nozzle_changed="better"), "a nozzle known to be good fitted"),
        (CheckReadings(suction_lifted="holds"), "suction lifted out, pump stalled"),
        (
            ProofReadings(stall_pressure=2e7, stall_time=60),
            "gauge read, stall hold: time between the marks",
        ),
        (ProofReadings(up_time=1.2), "strokes timed"),
        # taken without pressure, or no reading at all
        (CheckReadings(wet_cup="clean", filter_looked="blocked", note="x"), ""),
        (CheckReadings(solvent_test="holds", outside_looked="wet", temperature=290), ""),
        (CheckReadings(could_not=("bucket",)), ""),
        (ProofReadings(solvent_lost=0, solvent_head=0.05, solvent_time=300), ""),
        # looked at and measured with the pressure off, as their cautions say
        (ProofReadings(guards="yes", whip_checks="yes", hose_age="yes", hose_cover="no"), ""),
        (ProofReadings(bonding=2.0), ""),
        # it may have had pressure just before
        (ProofReadings(gauge_zero="yes"), "gauge back on its stop with the pressure off"),
        (CheckReadings(up_times=(), spray_pressure=None), ""),
    ],
)
def test_readings_that_mean_pressure_are_named(read: CheckReadings, words: str) -> None:
    assert pressure_read(None, read) == words


def test_what_is_only_kept_again_means_nothing_and_a_reading_more_does() -> None:
    before = CheckReadings(up_times=(1.2,), spray_pressure=2e7)
    whole = CheckReadings.model_validate(before.model_dump() | {"filter_looked": "clean"})
    assert pressure_read(before, whole) == ""
    more = CheckReadings.model_validate(before.model_dump() | {"up_times": (1.2, 1.3)})
    assert pressure_read(before, more) == "strokes timed"
    taken_back = CheckReadings.model_validate(before.model_dump() | {"up_times": ()})
    assert pressure_read(before, taken_back) == ""
    # an entry that names a field says that it was read, be it the same figure again
    assert pressure_read(before, CheckReadings(spray_pressure=2e7)) == "gauge read"


@pytest.mark.parametrize(("key", "newtons"), [("quay-air", 16032), ("yard-hydraulic", 29633)])
def test_a_loaded_hose_pushes_the_rod_with_pressure_times_its_area(
    key: str, newtons: float
) -> None:
    pump = demo_pump(key)
    pressure, read = highest_pressure(pump, (), ())
    assert (pressure, read) == (stall_described(pump), False)
    force = rod_push(pump, pressure)
    # by hand: 280 bar on a rod of 27 mm, 308 bar on one of 35 mm
    assert force == pytest.approx(newtons, abs=1)
    said, working = loaded_hose(pump, pressure, read=read)
    assert said.hazard == "loaded-hose"
    assert f"{newtons / 9810:.1f} t" in said.text
    assert "the drive's stall pressure" in said.text
    assert working.result[0].value == force


def test_the_hose_is_taken_to_hold_the_most_it_may() -> None:
    pump = demo_pump("quay-air")
    stall = stall_described(pump)
    assert highest_pressure(pump, (0.5 * stall,), ()) == (stall, False)  # the gun shut, it rises
    assert highest_pressure(pump, (0.5 * stall,), (0.9 * stall,)) == (0.9 * stall, True)
    assert highest_pressure(pump, (1.2 * stall,), ()) == (1.2 * stall, True)
    assert "the highest reading of this visit" in loaded_hose(pump, 250 * BAR, read=True)[0].text
