"""A failed proof's readings back in the running checks say what is wrong."""

from __future__ import annotations

import pytest

from wetend.advice.diagnosis.diagnose import diagnose
from wetend.advice.prove.carry_back import as_checks
from wetend.pump.measurements import ProofReadings
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings, demo_pump

COATING = next(c for c in demo_coatings() if c.key == "alkyd-topcoat")


def test_only_what_was_read_is_carried() -> None:
    carried = as_checks(ProofReadings(stall_creep_up=0.002, stall_time=60, up_time=1.4))
    assert carried.creep_up == pytest.approx(0.002 / 60)
    assert carried.up_times == (1.4,)
    assert carried.creep_down is carried.stall_pressure is carried.bucket_volume is None
    assert carried.down_times == ()
    assert as_checks(ProofReadings(stall_creep_up=0.002)).creep_up is None  # no time, no speed


def test_how_the_pump_was_run_stays_and_its_old_faults_go() -> None:
    before = CheckReadings(
        supply_pressure=6e5, temperature=290.0, down_times=(0.9,), creep_down=1e-3
    )
    carried = as_checks(ProofReadings(down_time=1.2), before)
    assert (carried.supply_pressure, carried.temperature) == (6e5, 290.0)
    assert carried.down_times == (1.2,)
    assert carried.creep_down is None


def test_a_foot_valve_that_still_leaks_is_found_from_the_proof() -> None:
    proof = ProofReadings(stall_pressure=2.4e7, stall_time=60, stall_creep_up=0.0,
                          stall_creep_down=0.06, up_time=1.4, down_time=0.9)  # fmt: skip
    told = diagnose(demo_pump("quay-air"), COATING, as_checks(proof), particles=20_000)
    first = max(told.findings, key=lambda f: f.probability)
    assert "foot" in str(first.fault).lower()
