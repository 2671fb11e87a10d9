"""Coatings to fill a calculator from: what a visit chose last stands before the examples."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from wetend.errors import NoAnswer, NotFound
from wetend.pump.toml import demo_coatings
from wetend.records.store import Depot
from wetend.workflows import filling, visits
from wetend.workflows.desk import Desk


def test_the_coating_chosen_last_is_taken_where_none_is_named(
    tmp_path: Path, copy_demo: Callable[[Path], Path]
) -> None:
    with Depot.open(copy_demo(tmp_path / "depot.sqlite3")) as depot:
        desk = Desk(depot, who="A. Tester")
        visit = visits.open_visits(desk)[0].id
        for coating in demo_coatings()[:2]:
            visits.choose_coating(desk, visit, coating)
            assert filling.coatings_of(desk)[0] == coating
            assert filling.filled(desk, "coverage", "dry-dock").coating == coating.name
        named = filling.filled(desk, "coverage", "dry-dock", demo_coatings()[2].key)
        assert named.coating == demo_coatings()[2].name
        assert {c.key for c in demo_coatings()} <= {c.key for c in filling.coatings_of(desk)}
        with pytest.raises(NotFound, match="no-such"):
            filling.filled(desk, "coverage", "dry-dock", "no-such")
        with pytest.raises(NoAnswer):
            filling.filled(desk, "weibull-fit", "dry-dock")
