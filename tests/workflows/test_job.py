"""What site and coating say at the head of a visit's pages."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from wetend.pump.readings import VisitStart
from wetend.pump.site import Flushed, Mixed, SiteFacts
from wetend.pump.toml import demo_pump
from wetend.records.store import Depot
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk
from wetend.workflows.job import clock_at, known_of_site, save_site

NOON = datetime(2031, 5, 2, 12, tzinfo=UTC)
COLD, WARM = 293.15, 306.15
"""20 and 33 °C: at 33 °C a pot life is half that at 23 °C, common practice, no source."""


def visit(*, read: float | None, asked: float | None, **more: Any) -> Any:
    said = {
        "closed": False,
        "batches": (Mixed(at=NOON, pot_life=7200.0),),
        "readings": None if read is None else SimpleNamespace(temperature=read),
        "set_up": None if asked is None else SimpleNamespace(temperature=asked),
    }
    return SimpleNamespace(**said | more)


@pytest.mark.parametrize(
    ("read", "asked", "minutes"),
    [(None, None, 120), (COLD, None, 120), (WARM, None, 60), (None, WARM, 60), (COLD, WARM, 60),
     (WARM, COLD, 60)],
)  # fmt: skip
def test_the_pot_life_is_that_of_the_warmest_temperature_entered(read, asked, minutes) -> None:
    """What sets sooner must be out sooner: in doubt the shorter time counts."""
    clock = clock_at(visit(read=read, asked=asked), NOON)
    assert clock is not None
    assert clock.left == pytest.approx(minutes * 60.0)


def test_no_clock_runs_once_flushed_or_signed() -> None:
    flushed = Flushed(at=NOON + timedelta(minutes=5))
    mixed = Mixed(at=NOON, pot_life=7200.0)
    assert clock_at(visit(read=None, asked=None, batches=(mixed, flushed)), NOON) is None
    assert clock_at(visit(read=None, asked=None, closed=True), NOON) is None


def test_a_site_visited_before_brings_its_number_and_not_its_permit(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        desk = Desk(depot, who="A. Tester")
        pumps.describe(desk, demo_pump("quay-air"))
        first = visits.start(desk, VisitStart(pump="quay-air", site="Tank  Farm"))
        assert known_of_site(desk, "tank farm") is None
        facts = SiteFacts(emergency_phone="01632 960 112", permit="hot work 7")
        save_site(desk, first, facts)
        assert known_of_site(desk, " TANK FARM ") == facts.model_copy(update={"permit": ""})
        assert known_of_site(desk, "dry dock") is None
        assert known_of_site(desk, " ") is None
