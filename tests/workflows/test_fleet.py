"""The fleet's month and what policies would cost are computed once for a state of the record."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from wetend.errors import BadInput
from wetend.pump.costs import Costs
from wetend.records.store import Depot
from wetend.workflows import fleet
from wetend.workflows.desk import Desk
from wetend.workflows.executors import SHARED

TODAY = date(2031, 5, 2)


@pytest.fixture
def desk(copy_demo, tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(copy_demo(tmp_path / "demo.sqlite3")) as depot:
        yield Desk(depot, who="A. Tester")


def test_the_same_question_is_answered_from_memory_and_another_anew(desk: Desk) -> None:
    once = fleet.simulated(desk, costs=Costs(), months=1, replicas=2)
    assert fleet.simulated(desk, costs=Costs(), months=1, replicas=2) is once
    other = fleet.simulated(desk, costs=Costs(call_out=90.0), months=1, replicas=2)
    assert other is not once
    assert (other.months, other.replicas, other.pumps) == (1, 2, once.pumps)
    lines = fleet.due(desk, Costs(), today=TODAY)
    assert fleet.due(desk, Costs(), today=TODAY) is lines
    assert len(lines) == once.pumps


@pytest.mark.parametrize("days", [0, 366])
def test_it_looks_a_day_to_a_year_ahead(desk: Desk, days: int) -> None:
    with pytest.raises(BadInput):
        fleet.due(desk, Costs(), days=days, today=TODAY)


def test_the_rule_by_volume_is_the_best_of_its_kind_and_the_forecast_is_judged_by_it(
    desk: Desk,
) -> None:
    """A flat 3,000 L made the forecast look better than it is."""
    kwargs = {"costs": Costs(), "months": 12, "replicas": 16}
    best = fleet.simulate(desk, SHARED, **kwargs)
    assert best.best_of == len(fleet.TRIED)
    assert best.service in fleet.TRIED
    costs = [fleet.simulate(desk, SHARED, service=s, **kwargs).outcomes[1].cost.middle
             for s in fleet.TRIED]  # fmt: skip
    assert best.outcomes[1].cost.middle == min(costs)
    others = min(o.cost.middle for o in best.outcomes[:2])
    assert best.forecast_pays == pytest.approx(1 - best.outcomes[2].cost.middle / others)
    asked = fleet.simulate(desk, SHARED, service=3.0, **kwargs)
    assert (asked.best_of, asked.service) == (0, 3.0)
