"""Every cause shows in something that a check reads; what shows in nothing can't be found."""

from __future__ import annotations

import numpy as np
import pytest

from wetend.advice.diagnosis.observables import OBSERVABLES, SEEN_BY_ITSELF, play
from wetend.advice.diagnosis.prior import LUMP, SIZES, Setting
from wetend.advice.faults.record import Cause, Key
from wetend.advice.faults.tables import CAUSE, CAUSES, FAULT_OF
from wetend.pump.toml import demo_coatings, demo_pump

SETTING = Setting(demo_pump("quay-air"), demo_coatings()[2], None, 293.15)


def moved_by(cause: Cause) -> set[Key]:
    """Readings that the cause at its middle size moves by more than their error, or sights whose
    chance it moves by a fifth."""
    z, present = np.zeros((2, SIZES)), np.zeros((2, len(CAUSES)), dtype=bool)
    z[:, LUMP], present[1, cause] = 2.0, True
    found = set()
    for key, values in play(SETTING, z, present).reads.items():
        what = OBSERVABLES[key]
        scaled = what.scale(values)
        least = 0.2 if what.unit is None else float(what.error(values).max())
        if abs(scaled[1] - scaled[0]) > least:
            found.add(key)
    return found


@pytest.mark.parametrize("cause", CAUSES, ids=str)
def test_a_cause_moves_some_reading(cause: Cause) -> None:
    assert moved_by(cause), f"nothing that a check reads shows {FAULT_OF[cause]}: it can't be found"


def test_what_is_seen_of_a_cause_by_itself_is_something_to_see() -> None:
    for cause in CAUSES:
        assert cause.shows.keys() <= SEEN_BY_ITSELF.keys(), cause


def test_what_moves_is_what_the_trade_says() -> None:
    """The symptom table; common practice, no source."""
    assert {"cycle_rate", "creep_down", "suction_lifted"} <= moved_by(CAUSE["foot"])
    assert {"up_time", "creep_up"} <= moved_by(CAUSE["packings"])
    assert "creep_down" not in moved_by(CAUSE["packings"])
    assert {"stall_pressure", "spray_pressure"} <= moved_by(CAUSE["drive"])
    assert "stall_pressure" not in moved_by(CAUSE["filter"])
    assert moved_by(CAUSE["slow"]) >= {"turn_pause", "cycle_rate"}
