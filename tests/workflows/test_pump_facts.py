"""What counts as a day on which a pump was proven sound."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from wetend.pump.readings import SignOff, VisitStart
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.pump.usage import PartFitted, Usage
from wetend.records.entries import Entry, new_entry
from wetend.records.ids import new_id
from wetend.workflows.pump_facts import Duties, facts_from

PUMP = demo_pump("quay-air")
FITTED, SIGNED, RENEWED, TODAY = (date(2031, month, 1) for month in (1, 3, 5, 6))


def _at(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 12, tzinfo=UTC)


def _entries(proof: str) -> list[Entry]:
    """Packings fitted, the pump signed off two months later, the packings then found worn."""
    visit, coating = new_id(), demo_coatings()[0].key
    use = Usage(first=FITTED, last=TODAY, cycles=1e6, coating=coating)
    told = [
        ("pump-described", PUMP, None, FITTED),
        ("usage", use, None, TODAY),
        ("part-fitted", PartFitted(part="moving-packings", on=FITTED), None, FITTED),
        ("visit-started", VisitStart(pump=PUMP.key), visit, SIGNED),
        ("sign-off", SignOff(technician="R. Okafor (invented)", proof=proof), visit, SIGNED),
        ("part-fitted", PartFitted(part="moving-packings", on=RENEWED), None, RENEWED),
    ]  # fmt: skip
    return [new_entry(k, n, pump=PUMP.key, visit=v, at=_at(day)) for k, n, v, day in told]


@pytest.mark.parametrize(
    ("proof", "sound"),
    [("pass", True), ("watch", True), ("fail", False), ("not proven", False),
     ("not applicable", False), ("", False)],
)  # fmt: skip
def test_only_a_visit_signed_proven_says_that_a_part_was_sound(proof: str, sound: bool) -> None:
    facts = facts_from(_entries(proof), Duties({c.key: c for c in demo_coatings()}), TODAY)
    assert facts is not None
    ended = next(x for x in facts.lives if x.part == "moving-packings" and x.ended)
    assert ended.ending == "between"
    assert (ended.low > 0) is sound
