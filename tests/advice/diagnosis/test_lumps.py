"""A lump washed out, a nozzle turned: nothing to open after. Common practice, no source."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from wetend.advice.diagnosis.answers import Diagnosis
from wetend.advice.diagnosis.causes import NOTHING_KNOWN
from wetend.advice.diagnosis.checks import CHECKS, checks_for, cleared_by
from wetend.advice.diagnosis.diagnose import diagnose
from wetend.advice.diagnosis.evidence import evidence_of
from wetend.advice.diagnosis.lumps import carried_away
from wetend.advice.diagnosis.next_check import rank_checks
from wetend.advice.diagnosis.posterior import weigh
from wetend.advice.diagnosis.prior import Setting
from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import CARRIED_AWAY, CAUSES, FAULT
from wetend.pump.readings import CheckReadings
from wetend.pump.toml import demo_coatings, demo_pump

PUMP, EPOXY = demo_pump("quay-air"), demo_coatings()[0]
CREEPS: dict[str, Any] = {"creep_down": 650 / 6e4, "creep_up": 0.0, "stall_pressure": 2.7e7}
"""Creeps down at stall by 650 mm/min: a foot valve that does not hold."""
CRAWLS: dict[str, Any] = {
    "spray_pressure": 2.65e7, "stall_pressure": 2.75e7, "cycle_rate": 0.22,
    "filter_looked": "clean",
}  # fmt: skip
"""Slow with a high gauge: a part-blocked nozzle."""


def _told(**fields: Any) -> Diagnosis:
    return diagnose(PUMP, EPOXY, CheckReadings(**fields), particles=8000)


def _chance(told: Diagnosis, fault: Fault) -> float:
    return next(f.probability for f in told.findings if f.fault is fault)


def _needed(told: Diagnosis, title: str) -> float:
    return next((o.chance for o in told.openings if o.title == title), 0.0)


@pytest.fixture(scope="module")
def creeps() -> Diagnosis:
    return _told(**CREEPS)


def test_a_foot_valve_that_does_not_hold_is_washed_before_it_is_opened(creeps: Diagnosis) -> None:
    assert _needed(creeps, "Open the foot valve") > 0.9
    assert creeps.best is not None
    assert creeps.best.key == "wash"
    assert creeps.open_first.startswith("Wash it through the dump valve, stall it again first.")
    assert "Only if that changes nothing: The foot valve" in creeps.open_first


def test_better_after_a_wash_leaves_nothing_to_open(creeps: Diagnosis) -> None:
    better = _told(**CREEPS, wash="better")
    assert _needed(better, "Open the foot valve") < 0.2 * _needed(creeps, "Open the foot valve")
    assert _chance(better, FAULT["foot-valve"]) < 0.2
    assert better.sound > 0.7
    assert (
        better.best is not None
    )  # what is quick and could still change it comes before "leave it"
    assert better.open_first.startswith("Open nothing for it. Strain the coating")
    assert better.why.startswith("It was a lump under the foot-valve ball, and the wash carried")
    foot = next(f for f in better.findings if f.fault is FAULT["foot-valve"])
    assert foot.because == "It was a lump, most likely, and is gone."


def test_no_change_after_a_wash_leaves_the_foot_valve_to_be_opened(creeps: Diagnosis) -> None:
    """By Bayes' rule it can't rise: had it been a lump, it would have gone. It stays likely, as the
    creep has told already that it is the foot valve."""
    unchanged = _told(**CREEPS, wash="no change")
    assert _needed(unchanged, "Open the foot valve") > 0.85
    assert unchanged.open_first.startswith("The foot valve: ball and seat")
    assert "wash" not in [c.key for c in unchanged.checks]


def test_a_nozzle_turned_is_tried_before_it_is_changed() -> None:
    slow = _told(**CRAWLS)
    assert _chance(slow, FAULT["nozzle-blocked"]) > 0.7
    assert slow.checks[0].key == "nozzle-turn"
    better = _told(**CRAWLS, nozzle_turned="better")
    assert _chance(better, FAULT["nozzle-blocked"]) < 0.2
    assert "a lump in the nozzle, and turning it shot it out" in better.why
    unchanged = _told(**CRAWLS, nozzle_turned="no change")
    assert (
        0.2 < _chance(unchanged, FAULT["nozzle-blocked"]) < _chance(slow, FAULT["nozzle-blocked"])
    )
    assert "nozzle-turn" not in [c.key for c in unchanged.checks]


def test_a_lump_under_the_piston_s_ball_may_go_too() -> None:
    climbs: dict[str, Any] = {"creep_up": 500 / 6e4, "creep_down": 0.0, "stall_pressure": 2.7e7}
    before, better = _told(**climbs), _told(**climbs, wash="better")
    assert _chance(before, FAULT["piston-valve"]) > 0.9
    assert _chance(better, FAULT["piston-valve"]) < 0.4
    assert "a lump under the piston's ball" in better.why


def test_what_comes_loose_is_there_as_often_as_said() -> None:
    """Second route: counted over many pumps."""
    rng = np.random.default_rng(3)
    lump, present = rng.standard_normal(40_000), np.ones((40_000, len(CAUSES)), dtype=bool)
    for key, causes in CARRIED_AWAY.items():
        gone = carried_away(lump, present, [key])
        for cause in CAUSES:
            assert gone[:, cause].mean() == pytest.approx(causes.get(cause, 0.0), abs=0.01)


def test_a_nozzle_that_does_not_turn_round_is_not_told_to() -> None:
    fixed = PUMP.model_copy(update={"nozzle": PUMP.nozzle.model_copy(update={"reversible": False})})
    readings = CheckReadings(**CRAWLS)
    given = evidence_of(readings)
    cloud = weigh(Setting.of(fixed, EPOXY, readings), given, particles=2000, seed=1)
    assert "nozzle-turn" not in {c.key for c in rank_checks(cloud, fixed, NOTHING_KNOWN, [])}
    assert {c.key for c in CHECKS} - {c.key for c in checks_for(fixed)} == {"nozzle-turn"}
    assert checks_for(PUMP) == CHECKS


def test_the_lump_shot_out_goes_to_a_safe_place() -> None:
    turn = next(c for c in CHECKS if c.key == "nozzle-turn")
    (spraying,) = (c for c in turn.cautions if c.hazard == "spraying")
    assert "waste sheet in a safe place" in spraying.text
    assert "pail" not in turn.how
    assert cleared_by("wash") == (FAULT["foot-valve"], FAULT["piston-valve"])
    wash = next(c for c in CHECKS if c.key == "wash")
    assert {"dump-hose", "rod-moves"} <= {each.hazard for each in wash.cautions}
