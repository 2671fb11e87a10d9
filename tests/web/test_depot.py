"""The first page of a depot with many pumps: so many a page, found by their words."""

from __future__ import annotations

from pathlib import Path

from fastapi.testclient import TestClient

from wetend.pump.toml import demo_pump
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import pumps
from wetend.workflows.desk import Desk


def test_many_pumps_come_in_pages_and_are_found_by_their_words(tmp_path: Path):
    model = demo_pump("quay-air")
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        desk = Desk(depot)
        for number in range(95):
            named = {"key": f"p{number:03}", "name": f"Pump {number:03}", "site": f"Berth {number}"}
            pumps.describe(desk, model.model_copy(update=named))
        client = TestClient(create_app(depot), base_url="http://localhost")
        first, last = client.get("/").text, client.get("/?sheet=3").text
        assert first.count('href="/pumps/p0') == 40
        assert last.count('href="/pumps/p0') == 15
        assert "page 3 of 3" in last
        found = client.get("/?q=berth+94").text
        assert found.count('href="/pumps/p0') == 1
        assert "No pump matches" in client.get("/?q=nowhere").text
        pumps.describe(desk, model.model_copy(update={"key": "new", "name": "A new one"}))
        assert "A new one" in client.get("/").text
