"""What the crew saw counts, with its own doubt, until the technician has looked."""

from __future__ import annotations

from typing import Any, get_args

import numpy as np
import pytest

from wetend.advice.diagnosis.causes import NOTHING_KNOWN, Around
from wetend.advice.diagnosis.crew import FOR_NO_REASON, NOTICED, WHERE_PLAIN, crew_evidence
from wetend.advice.diagnosis.diagnose import Diagnosis, diagnose, predict
from wetend.advice.diagnosis.observables import OBSERVABLES
from wetend.advice.diagnosis.posterior import weigh
from wetend.advice.diagnosis.prior import Setting
from wetend.pump.readings import CheckReadings, Sight
from wetend.pump.toml import demo_coatings, demo_pump

QUAY, EPOXY = demo_pump("quay-air"), demo_coatings()[0]
SOUND = predict(QUAY, EPOXY)
STROKES: dict[str, Any] = {
    "up_times": (SOUND.up_time,) * 8, "down_times": (SOUND.down_time,) * 8,
}  # fmt: skip


def _told(*seen: Sight, **more: Any) -> Diagnosis:
    return diagnose(
        QUAY, EPOXY, CheckReadings(**STROKES, **more), around=Around(seen=seen)
    )  # fmt: skip


def _chances(found: Diagnosis) -> dict[str, float]:
    return {f.fault.id: f.probability for f in found.findings}


@pytest.mark.parametrize(
    ("sight", "fault"),
    [
        ("coating in the wet cup", "static-packings"), ("leak to the outside", "outside"),
        ("gauge low at stall", "drive-weak"), ("creeps down at stall", "foot-valve"),
        ("creeps up at stall", "piston-valve"),
    ],
)  # fmt: skip
def test_a_sight_of_the_crews_raises_its_fault_and_is_named(sight: Sight, fault: str) -> None:
    """Common practice: the trade's symptom table."""
    with_it, without = _told(sight), _told()
    before, after = _chances(without)[fault], _chances(with_it)[fault]
    assert 1.5 * before < after < 0.9  # a word is no measurement
    assert with_it.contributions[-1].reading == NOTICED[sight].said
    assert len(with_it.contributions) == len(without.contributions) + 1


def test_a_quick_drop_that_the_crew_saw_points_to_the_suction() -> None:
    sight: Sight = "quick drop at the start of the down-stroke"
    found = diagnose(QUAY, EPOXY, CheckReadings(wet_cup="clean"), around=Around(seen=(sight,)))
    without = diagnose(QUAY, EPOXY, CheckReadings(wet_cup="clean"))
    for fault in ("starved", "air", "foot-late"):
        assert _chances(found)[fault] > 1.5 * _chances(without)[fault]


def test_what_the_technician_looked_at_stands_and_the_crews_word_does_not() -> None:
    looked = _told("coating in the wet cup", wet_cup="clean")
    assert _chances(looked) == _chances(_told(wet_cup="clean"))
    dropped = _told("quick drop at the start of the down-stroke", drop=0.02)
    assert _chances(dropped) == _chances(_told(drop=0.02))


def test_the_crews_word_leaves_the_check_of_it_to_be_done() -> None:
    keys = {check.key for check in _told("coating in the wet cup").checks}
    assert "wet-cup" in keys


def test_a_crew_that_says_nothing_or_what_bears_on_nothing_changes_nothing() -> None:
    assert _chances(_told("will not prime")) == _chances(_told())
    assert crew_evidence(("fan with tails",), (), SOUND) == ()
    assert NOTHING_KNOWN.seen == ()


def test_each_sight_is_plain_where_it_is_and_said_twice_counts_once() -> None:
    setting = Setting(QUAY, EPOXY, None, EPOXY.temperature)
    cloud = weigh(setting, (), particles=2000, seed=1)
    for sight, noticed in NOTICED.items():
        assert sight in get_args(Sight)
        assert set(noticed.read_by) <= OBSERVABLES.keys()
        (said,) = crew_evidence((sight, sight), (), SOUND)
        chance = np.exp(said.log_likelihood(cloud.played))
        assert chance.min() >= FOR_NO_REASON - 1e-9
        assert chance.max() <= WHERE_PLAIN + 1e-9
        assert chance.max() > 2 * chance.min()
        assert (said.misfit(cloud.played) == 0).all()
