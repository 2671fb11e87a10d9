"""A pump that does not run, does not stop, or gives no pressure. Common practice, no source."""

from __future__ import annotations

from typing import get_args

import pytest

from wetend.advice.diagnosis.not_running import CAUSES, NOT_RUNNING, look_first
from wetend.advice.safety.hazards import HAZARDS
from wetend.pump.parts import DriveKind
from wetend.pump.readings import Complaint, Sight

DRIVES: tuple[DriveKind, ...] = get_args(DriveKind)


@pytest.mark.parametrize("drive", DRIVES)
@pytest.mark.parametrize("sight", sorted(NOT_RUNNING))
def test_each_complaint_leads_somewhere_on_each_drive(sight: Sight, drive: DriveKind) -> None:
    found = look_first(Complaint(seen=(sight,)), drive)
    assert 3 <= len(found) <= 9
    assert found[0].minutes <= 5
    assert all(c.shows and c.do and sight in c.seen for c in found)


@pytest.mark.parametrize(
    ("drive", "there", "elsewhere"),
    [
        ("air", {"no-air", "ice", "air-valve"}, {"no-oil", "no-current", "tripped", "oil-valve"}),
        ("hydraulic", {"no-oil", "oil-valve"}, {"no-air", "ice", "air-valve", "no-current"}),
        ("engine", {"engine-off", "oil-valve"}, {"no-air", "ice", "no-current", "tripped"}),
        ("electric", {"no-current", "tripped", "motor-gear"}, {"no-air", "ice", "oil-valve"}),
    ],
)
def test_a_drive_has_its_own_causes(drive: DriveKind, there: set[str], elsewhere: set[str]) -> None:
    keys = {c.key for c in look_first(Complaint(seen=("does not run",)), drive)}
    assert there <= keys
    assert not elsewhere & keys
    assert {"blocked-ahead", "packings-seized", "set-fast", "coupling"} <= keys


def test_one_caution_a_hazard_and_at_the_first_act_that_needs_it() -> None:
    for drive in DRIVES:
        found = look_first(Complaint(seen=tuple(NOT_RUNNING)), drive)
        hazards = [c.hazard for cause in found for c in cause.cautions]
        assert len(hazards) == len(set(hazards))
        assert set(hazards) <= set(HAZARDS)


def test_what_explains_more_of_what_is_seen_comes_first() -> None:
    seen: tuple[Sight, ...] = ("runs but gives no pressure", "knocks at the turn")
    assert look_first(Complaint(seen=seen), "air")[0].key == "coupling"
    assert look_first(Complaint(seen=("coating in the wet cup",)), "air") == ()
    assert look_first(None, "air") == ()


def test_every_cause_is_met_by_somebody() -> None:
    met = {c.key for d in DRIVES for c in look_first(Complaint(seen=get_args(Sight)), d)}
    assert met == {c.key for c in CAUSES}
