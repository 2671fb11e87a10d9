"""Pumps by a table: a row each, no number without a unit, all or none."""

from __future__ import annotations

from pathlib import Path

import pytest

from wetend.errors import BadInput
from wetend.records.store import Depot
from wetend.workflows import pumps, pumps_table
from wetend.workflows.desk import Desk
from wetend.workflows.history_table import read_history

TABLE = (
    "name,site,like,bore [mm],rod [mm],stroke [mm],supply_rated [bar],outlet_pressure [bar],"
    "hose_rated [bar],filter_rated [bar],nozzle_rated [bar],colour\n"
    "East wall,Quay,quay-air,38,27,120,8,400,450,420,400,blue\n"
    "West wall,Quay,quay-air,38 mm,27,120,8,400,450,420,400,\n"
    "Odd,Quay,no-such,38,27,120,8,400,450,420,400,\n"
)


def test_pumps_come_in_by_a_table(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        desk = Desk(depot)
        seen = pumps_table.preview(desk, read_history(TABLE.encode()))
        assert [p.key for p in seen.pumps] == ["east-wall", "west-wall"]
        assert seen.pumps[0].cylinder.bore == pytest.approx(0.038)
        assert seen.unread == ("colour",)
        assert [b.number for b in seen.bad] == [3]
        with pytest.raises(BadInput, match="Nothing was saved"):
            pumps_table.keep(desk, seen)
        assert pumps_table.keep(desk, seen, leave_out=True) == 2
        assert [p.site for p in pumps.described(desk)] == ["Quay", "Quay"]
        again = pumps_table.preview(desk, read_history(TABLE.encode()))
        assert (again.pumps, again.there) == ((), ("East wall", "West wall"))


def test_a_number_without_a_unit_is_refused(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        table = TABLE.replace("bore [mm]", "bore")
        seen = pumps_table.preview(Desk(depot), read_history(table.encode()))
        assert "no unit" in seen.bad[0].sentence
        assert [p.key for p in seen.pumps] == ["west-wall"]
