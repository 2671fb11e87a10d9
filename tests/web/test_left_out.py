"""A depot that holds what can't be read opens, shows the rest, names it, offers to leave it out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from wetend.cli.app import run
from wetend.pump.readings import VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.entries import Entry
from wetend.records.ids import new_id
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

PUMP = "quay-air"


def made_before(kind: str, payload: str, visit: str | None = None, pump: str = PUMP) -> Entry:
    """An entry that an earlier version kept and this one can't read."""
    return Entry(id=new_id(), kind=kind, pump=pump, visit=visit, at="2026-05-05T10:00:00Z",
                 who="Ben", version="0.0.9", payload=payload)  # fmt: skip


@dataclass
class Place:
    depot: Depot
    client: TestClient
    visit: str
    stack: Entry


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        desk = Desk(depot, who="Ann")
        pumps.describe(desk, demo_pump(PUMP))
        visit = visits.start(desk, VisitStart(pump=PUMP))
        visits.choose_coating(desk, visit, desk.coating("alkyd-topcoat"))
        stack = made_before("stack", '{"heights":{"seat":99}}', visit)
        depot.merge([
            stack,
            made_before("usage", '{"first":"x"}'),
            made_before("pump-described", '{"key":"ghost"}', pump="ghost"),
            made_before("pump-described", '{"key":"quay-air","name":7}'),
            made_before("proof", '{"stall_time":-5}', visit),
            made_before("part-fitted", '{"part":"flux"}'),
            made_before("visit-started", '{"pump":"quay-air","x":1}', new_id()),
            made_before("complaint", '{"seen":["nothing known"]}', visit),
            made_before("sign-off", "{}", visit),
            made_before("catalogue-item", "{}"),
            made_before("import", "{}", pump="no-pump"),
            made_before("coating", '{"key":"z"}', visit),
            made_before("of-tomorrow", "{}", visit),
        ])  # fmt: skip
        app = create_app(depot)
        with TestClient(app, base_url="http://localhost", raise_server_exceptions=False) as client:
            yield Place(depot, client, visit, stack)


def test_every_page_opens_and_shows_the_rest(place: Place) -> None:
    stages = ("complaint", "checks", "strip", "inspect", "rebuild", "prove", "handover", "record",
              "report.pdf")  # fmt: skip
    own = [f"/visits/{place.visit}/{stage}" for stage in stages]
    for path in ("/", f"/pumps/{PUMP}", f"/pumps/{PUMP}/life", f"/pumps/{PUMP}/record", "/stores",
                 "/stores/items", "/fleet", "/import", "/incidents", "/export.zip",
                 *own):  # fmt: skip
        assert place.client.get(path).status_code == 200, path


def test_the_first_page_names_a_pump_that_cannot_be_read_and_it_may_be_described_anew(
    place: Place,
) -> None:
    text = place.client.get("/").text
    assert "Left out: pump “ghost”" in text
    assert "made by version 0.0.9" in text
    lost = place.client.get("/pumps/ghost")
    assert lost.status_code == 404
    assert "describe it again" in lost.text
    pumps.describe(Desk(place.depot), demo_pump(PUMP).model_copy(update={"key": "ghost"}), new=True)
    assert "Left out: pump" not in place.client.get("/").text
    assert place.client.get("/pumps/ghost").status_code == 200


def test_a_visit_names_what_it_leaves_out_until_it_is_taken_back(place: Place) -> None:
    page = f"/visits/{place.visit}/rebuild"
    text = place.client.get(page).text
    assert text.count("Left out of this visit") == 6
    letters = place.stack.id[-8:]
    assert f"/record?at={letters}#e-{letters}" in text
    record = place.client.get(f"/visits/{place.visit}/record").text
    token = record.split('name="_token" value="')[1].split('"')[0]
    sent = {"_token": token, "entry": place.stack.id, "do": "take back"}
    done = place.client.post(f"/visits/{place.visit}/record", data=sent)
    assert done.status_code == 200
    assert ">Restore<" in done.text
    assert letters not in place.client.get(page).text
    assert place.client.get(page).text.count("Left out of this visit") == 5


def test_commands_name_it_too_and_take_it_back(
    place: Place, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("WETEND_DEPOT", str(place.depot.url.database))
    monkeypatch.setenv("COLUMNS", "300")
    assert run(["pump", "list"]) == 0
    out, err = capsys.readouterr()
    assert PUMP in out
    assert "Left out: pump “ghost”" in err
    assert run(["rebuild", "last"]) == 0
    said, letters = capsys.readouterr().out, place.stack.id[-6:]
    take = f"wetend visit withdraw {place.visit[-6:]} {letters}"
    assert take in said
    assert run(take.split()[1:]) == 0
    capsys.readouterr()
    assert run(["rebuild", "last"]) == 0
    assert letters not in capsys.readouterr().out
