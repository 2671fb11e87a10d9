"""What a repair costs by plan, along with another, and at a failure."""

from __future__ import annotations

import pytest

from wetend.pump.costs import CREW_DOES, LABOUR, PRICES, Costs
from wetend.pump.usage import LIFE_PARTS

COSTS = Costs(crew_hour=200.0, technician_hour=50.0, standing=3 * 3600.0, call_out=70.0,
              planned_visit=30.0, parts_factor=2.0)  # fmt: skip


def test_moving_packings_by_hand() -> None:
    """A price of 120 doubled, 1.5 h of work; prices and hours are our own, no source."""
    assert COSTS.planned("moving-packings") == pytest.approx(240 + 1.5 * 50 + 30)
    assert COSTS.along("moving-packings") == pytest.approx(240 + 0.5 * 50)
    assert COSTS.unplanned("moving-packings") == pytest.approx(240 + 1.5 * 50 + 70 + 3 * 200)


def test_what_the_crew_changes_itself_needs_no_call_and_half_an_hour_at_least() -> None:
    assert COSTS.planned("nozzle") == pytest.approx(90 + 0.1 * 50)
    assert COSTS.unplanned("nozzle") == pytest.approx(90 + 0.5 * 200)


@pytest.mark.parametrize("part", LIFE_PARTS)
def test_a_failure_at_work_costs_most_and_a_part_done_along_least(part) -> None:
    # Common practice, no source.
    costs = Costs()
    assert costs.price(part) < costs.along(part) <= costs.planned(part) < costs.unplanned(part)


def test_every_part_has_a_price_and_its_hours() -> None:
    assert set(PRICES) == set(LABOUR) == set(LIFE_PARTS)
    assert set(LIFE_PARTS) > CREW_DOES
