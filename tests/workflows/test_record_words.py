"""What the record says of a field that an entry sets back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from wetend.pump.readings import CheckReadings, VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.store import Depot
from wetend.workflows import checks, pumps, record, visits
from wetend.workflows.desk import Desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        at = Desk(depot, who="A. Tester")
        pumps.describe(at, demo_pump("quay-air"))
        yield at


def test_emptied_is_said_of_what_held_something_and_of_nothing_else(desk: Desk) -> None:
    visit = visits.start(desk, VisitStart(pump="quay-air"))
    checks.save(
        desk, visit, CheckReadings(stall_pressure=None, spray_pressure=2e7, wet_cup="clean")
    )
    checks.save(desk, visit, CheckReadings(spray_pressure=None, wet_cup="not looked"))
    later, earlier = (
        dict(line.says)
        for line in record.of_visit(desk, visit).lines
        if line.entry.kind == "check-readings"
    )
    assert earlier == {"Gauge while spraying": "200 bar", "Wet cup": "clean"}
    assert later == {"Gauge while spraying": "emptied", "Wet cup": "not looked"}
