"""What a depot knows of its pumps' lives, now and as a visit was signed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from wetend.records.store import Depot
from wetend.workflows import life_facts
from wetend.workflows.desk import Desk


@pytest.fixture
def desk(copy_demo, tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(copy_demo(tmp_path / "demo.sqlite3")) as depot:
        yield Desk(depot, who="A. Tester")


def test_a_signed_visit_keeps_the_facts_of_its_day_and_an_open_one_has_none(desk: Desk) -> None:
    known = life_facts.facts(desk)
    started = [e for e in desk.depot.entries(kinds=("visit-started",)) if e.visit]
    visits = [desk.visit(entry.visit) for entry in started if entry.visit]
    signed = [v for v in visits if v.sign_off is not None]
    assert signed
    assert len(signed) < len(visits)
    for visit in visits:
        then = life_facts.as_signed(desk, known, visit)
        assert (then is not None) == (visit.sign_off is not None)
        if then is not None:
            assert then.pump.key == visit.pump.key


def test_the_same_state_is_read_once(desk: Desk) -> None:
    today = datetime.now(UTC).date()
    assert life_facts.facts(desk, today=today) is life_facts.facts(desk, today=today)
