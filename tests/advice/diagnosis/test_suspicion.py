"""First suspicions: each row of the trade's symptom table (common practice, no source)."""

from __future__ import annotations

from typing import get_args

import pytest

from wetend.advice.diagnosis.diagnose import suspect
from wetend.advice.diagnosis.suspicion import signs_of
from wetend.advice.faults.record import Fault
from wetend.advice.faults.tables import FAULT
from wetend.pump.readings import Complaint, Sight


@pytest.mark.parametrize(
    ("seen", "fault"),
    [
        (("down-stroke quick", "creeps down at stall"), FAULT["foot-valve"]),
        (("up-stroke quick", "creeps up at stall"), FAULT["piston-valve"]),
        (("both strokes quick", "gauge low while spraying"), FAULT["nozzle"]),
        (("quick drop at the start of the down-stroke",), FAULT["starved"]),
        (("coating in the wet cup",), FAULT["static-packings"]),
        (("slow both ways", "gauge low at stall"), FAULT["drive-weak"]),
        (("fan with tails", "slow both ways"), FAULT["filter"]),
        (("fan with tails",), FAULT["filter"]),
        (("fan pulses", "creeps down at stall"), FAULT["foot-valve"]),
        (("fan pulses", "creeps up at stall"), FAULT["piston-valve"]),
        (("leak to the outside",), FAULT["outside"]),
        (("leak to the outside", "coating in the wet cup"), FAULT["static-packings"]),
    ],
)
def test_row_of_the_symptom_table(seen: tuple[Sight, ...], fault: Fault) -> None:
    assert suspect(Complaint(seen=seen))[0].fault is fault


def test_every_sight_means_something() -> None:
    assert all(signs_of(sight) for sight in get_args(Sight))


def test_pulses_point_to_valves_and_packings_and_tails_to_pressure() -> None:
    """Common practice, no source: two signs that were one, and meant one thing."""
    pulses = {s.fault for s in suspect(Complaint(seen=("fan pulses",)))}
    tails = {s.fault for s in suspect(Complaint(seen=("fan with tails",)))}
    assert pulses == {FAULT["foot-valve"], FAULT["piston-valve"]}
    assert not pulses & tails
    assert {FAULT["filter"], FAULT["drive-weak"], FAULT["nozzle-blocked"]} <= tails


def test_an_old_entry_keeps_what_it_said() -> None:
    old = Complaint.model_validate({"seen": ["fan tails or pulses"]})
    assert old.seen == ("fan tails or pulses",)
    assert {s.fault for s in suspect(old)} >= {
        FAULT["filter"],
        FAULT["foot-valve"],
        FAULT["piston-valve"],
    }


def test_a_knock_sends_to_the_coupling_too() -> None:
    assert "coupling or collets" in suspect(Complaint(seen=("knocks at the turn",)))[0].why


def test_nothing_seen_nothing_suspected() -> None:
    assert suspect(Complaint(said="It won't spray")) == ()


def test_each_fault_once_and_a_sign_told_twice_counts_once() -> None:
    seen: tuple[Sight, ...] = ("slow both ways", "slow both ways", "gauge low at stall")
    found = suspect(Complaint(seen=seen))
    assert [s.fault for s in found] == [
        FAULT["drive-weak"],
        FAULT["filter"],
        FAULT["nozzle-blocked"],
    ]
    assert found[0].why.count("Slow both ways") == 1
