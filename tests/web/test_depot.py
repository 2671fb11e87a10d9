"""The first page of a depot with many pumps: so many a page, found by their words."""

from __future__ import annotations

from pathlib import Path

from fastapi.testclient import TestClient

from wetend.pump.toml import demo_pump
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import pumps
from wetend.workflows.desk import Desk


def _list(client: TestClient, path: str) -> str:
    """The pumps of the first page, without those of its navigation."""
    return client.get(path).text.partition('<ul class="lines tight" id="pumps">')[2]


def test_today_shows_what_is_next_what_stands_and_what_pumps_want(reader, shown):
    page = reader.get("/").text
    left = page.partition('id="open-h"')[2].partition('id="pumps-h"')[0]
    for said in ("</b> Strip", "</b> Prove", "nothing entered for", "to stop within 30 days",
                 f'href="/visits/{shown.open_visit}/do"'):  # fmt: skip
        assert said in left, said
    assert "Likely to stop" in left or "Visit due" in left  # by how far the demo's lives have run


def test_many_pumps_come_in_pages_and_are_found_by_their_words(tmp_path: Path):
    model = demo_pump("quay-air")
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        desk = Desk(depot)
        for number in range(95):
            named = {"key": f"p{number:03}", "name": f"Pump {number:03}", "site": f"Berth {number}"}
            pumps.describe(desk, model.model_copy(update=named))
        client = TestClient(create_app(depot), base_url="http://localhost")
        first, last = _list(client, "/"), _list(client, "/?sheet=3")
        assert first.count('href="/pumps/p0') == 40
        assert last.count('href="/pumps/p0') == 15
        assert "page 3 of 3" in client.get("/?sheet=3").text
        found = _list(client, "/?q=berth+94")
        assert found.count('href="/pumps/p0') == 1
        assert "No pump matches" in client.get("/?q=nowhere").text
        pumps.describe(desk, model.model_copy(update={"key": "new", "name": "A new one"}))
        assert "A new one" in client.get("/").text
