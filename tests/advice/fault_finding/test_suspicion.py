"""First suspicions: each row of the trade's symptom table (common practice, no source)."""

from __future__ import annotations

from typing import get_args

import pytest

from wetend.advice.diagnosis import Fault, suspect
from wetend.advice.fault_finding.suspicion import SIGNS
from wetend.pump.readings import Complaint, Sight


@pytest.mark.parametrize(
    ("seen", "fault"),
    [
        (("down-stroke quick", "creeps down at stall"), Fault.FOOT_VALVE),
        (("up-stroke quick", "creeps up at stall"), Fault.PISTON_VALVE),
        (("both strokes quick", "gauge low while spraying"), Fault.NOZZLE),
        (("quick drop at the start of the down-stroke",), Fault.STARVED),
        (("coating in the wet cup",), Fault.STATIC_PACKINGS),
        (("slow both ways", "gauge low at stall"), Fault.DRIVE_WEAK),
        (("fan tails or pulses", "slow both ways"), Fault.FILTER),
    ],
)
def test_row_of_the_symptom_table(seen: tuple[Sight, ...], fault: Fault) -> None:
    assert suspect(Complaint(seen=seen))[0].fault is fault


def test_every_sight_means_something() -> None:
    assert set(SIGNS) == set(get_args(Sight))


def test_nothing_seen_nothing_suspected() -> None:
    assert suspect(Complaint(said="It won't spray")) == ()


def test_each_fault_once_and_a_sign_told_twice_counts_once() -> None:
    seen: tuple[Sight, ...] = ("slow both ways", "slow both ways", "gauge low at stall")
    found = suspect(Complaint(seen=seen))
    assert [s.fault for s in found] == [Fault.DRIVE_WEAK, Fault.FILTER]
    assert found[0].why.count("Slow both ways") == 1
