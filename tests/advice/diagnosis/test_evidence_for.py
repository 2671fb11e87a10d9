"""Evidence for a fault never lowers it and is never told as against it: faults, pumps, sizes."""

from __future__ import annotations

import functools
from typing import Any

import numpy as np
import pytest

from wetend.advice.diagnosis.diagnose import diagnose
from wetend.advice.diagnosis.observables import play
from wetend.advice.diagnosis.prior import NUISANCES, SIZES, Setting
from wetend.advice.faults.tables import CAUSE, CAUSES, FAULT, FAULT_OF
from wetend.advice.prove.creep_limits import creep_limits
from wetend.advice.prove.limits import allowed
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

EPOXY = demo_coatings()[0]
FOR: dict[str, tuple[str, ...]] = {
    "foot": ("creep_down", "suction_lifted=runs back", "solvent_test=weeps"),
    "packings": ("creep_up",),
    "static": ("wet_cup=coating in it",),
    "outside": ("outside_looked=wet",),
    "nozzle": ("nozzle_changed=better", "spray_pressure"),
    "clogged": ("nozzle_changed=better",),
    "starved": ("drop", "fresh_suction=better"),
    "air": ("drop", "air_seen=yes", "fresh_suction=better"),
    "supply": ("supply_pressure", "stall_pressure"),
    "drive": ("stall_pressure",),
    "filter": ("filter_looked=blocked",),
    "slow": ("turn_pause",),
}
"""What speaks for a cause wherever it is there (physics, and the trade's symptom table)."""


@functools.cache
def _reads(pump: Pump, cause: str, size: float) -> dict[str, float]:
    """What the pump shows with this cause alone, all else as usual."""
    z, present = np.zeros((1, SIZES)), np.zeros((1, len(CAUSES)), dtype=bool)
    z[0, NUISANCES + CAUSE[cause]], present[0, CAUSE[cause]] = size, True
    shown = play(Setting(pump, EPOXY, None, EPOXY.temperature), z, present).reads
    return {key: float(value[0]) for key, value in shown.items()}


def _field(shown: dict[str, float], told: str) -> dict[str, Any]:
    name, _, word = told.partition("=")
    return {name: word or shown[name]}


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("size", [-1.0, 0.5, 1.5])
@pytest.mark.parametrize("cause", FOR)
def test_evidence_for_a_fault_raises_it_and_is_not_told_as_against_it(
    cause: str, size: float, key: str
) -> None:
    pump, fault = demo_pump(key), FAULT_OF[CAUSE[cause]]
    shown = _reads(pump, cause, size)
    fields: dict[str, Any] = {
        "up_times": (shown["up_time"],) * 8, "down_times": (shown["down_time"],) * 8,
        "temperature": EPOXY.temperature,
    }  # fmt: skip
    before = diagnose(pump, EPOXY, CheckReadings(**fields), particles=4000)
    for told in FOR[cause]:
        fields |= _field(shown, told)
        after = diagnose(pump, EPOXY, CheckReadings(**fields), particles=4000)
        chances = [
            next(f.probability for f in answer.findings if f.fault is fault)
            for answer in (before, after)
        ]
        assert chances[1] > chances[0] - 0.03  # as much as 4,000 pumps are out by
        against = f"against {fault.title}"
        assert against not in after.contributions[-1].says
        assert all(
            "Against it" not in f.because.split("For it")[0] or f.fault is not fault
            for f in after.findings
            if chances[1] > 0.5
        )
        before = after


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("way", ["up", "down"])
def test_a_creep_that_fails_the_proof_is_not_called_sound_by_the_checks(key: str, way: str) -> None:
    """All else as a sound pump's: whatever fails there is opened or asked on here."""
    pump = demo_pump(key)
    most = creep_limits(allowed(pump, EPOXY), 2.7e7, up=way == "up").most
    other = "down" if way == "up" else "up"
    shown = _reads(pump, "foot", -8.0)
    found = diagnose(pump, EPOXY, CheckReadings.model_validate({
        "up_times": (shown["up_time"],) * 8, "down_times": (shown["down_time"],) * 8,
        "spray_pressure": shown["spray_pressure"], "stall_pressure": shown["stall_pressure"],
        "wet_cup": "clean", "outside_looked": "dry", "drop": 0.02, "turn_pause": 0.1,
        f"creep_{way}": 1.5 * most, f"creep_{other}": 0.0, "temperature": EPOXY.temperature,
    }))  # fmt: skip
    assert not found.leave_wet_end
    assert "nothing read so far says that it leaks" not in found.open_first
    assert found.findings[0].fault is FAULT["piston-valve" if way == "up" else "foot-valve"]
    assert found.findings[0].probability > 0.3
