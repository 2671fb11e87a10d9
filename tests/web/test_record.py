"""The record: every entry seen, taken back and put back, on pages and by commands."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from wetend.errors import BadInput
from wetend.pump.measurements import StackMeasured
from wetend.pump.readings import CheckReadings, Note, SignOff, VisitStart
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.pump.usage import PartFitted, Usage
from wetend.records.entries import new_entry
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import life, pumps, record, visits
from wetend.workflows.desk import Desk


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        desk = Desk(depot, who="Ann")
        pumps.describe(desk, demo_pump("quay-air"))
        yield desk


@pytest.fixture
def visit(desk: Desk) -> str:
    started = visits.start(desk, VisitStart(pump="quay-air"))
    visits.choose_coating(desk, started, demo_coatings()[0])
    return started


@pytest.fixture
def client(desk: Desk) -> TestClient:
    return TestClient(create_app(desk.depot), base_url="http://localhost")


def send(client: TestClient, path: str, **fields: str):
    page = client.get(path).text
    token = page.split('name="_token" value="')[1].split('"')[0]
    return client.post(path, data={"_token": token, **fields})


def test_a_reading_taken_back_counts_no_more_and_can_be_put_back(desk, visit, client):
    seen = desk.keep_in_visit("check-readings", CheckReadings(stall_pressure=2.7e7), visit)
    slip = seen.entries[-1].id
    page = send(client, f"/visits/{visit}/record", entry=slip, reason="wrong pump")
    assert "Taken back" in page.text
    assert "wrong pump" in page.text
    assert desk.visit(visit).readings is None
    send(client, f"/visits/{visit}/record", entry=slip, do="put back")
    assert desk.visit(visit).readings is not None


def test_taken_back_twice_is_once(desk, visit):
    slip = desk.keep_in_visit("note", Note(text="x"), visit).entries[-1].id
    record.withdraw(desk, slip)
    count = len(desk.depot.entries())
    record.withdraw(desk, slip)
    assert len(desk.depot.entries()) == count


def test_a_visit_begun_by_mistake_goes_and_comes_back(desk, visit, client):
    start = desk.visit(visit).entries[0].id
    page = send(client, f"/visits/{visit}/record", entry=start)
    assert page.url.path == "/pumps/quay-air/record"
    assert visits.open_visits(desk) == ()
    send(client, "/pumps/quay-air/record", entry=start, do="put back")
    assert [v.id for v in visits.open_visits(desk)] == [visit]


def test_a_use_typed_ten_times_too_large_is_taken_back(desk, client):
    use = Usage(first=date(2031, 5, 1), last=date(2031, 5, 31), litres=9.0)
    wrong = life.save_usage(desk, "quay-air", use)
    fitted = life.save_fitted(desk, "quay-air", PartFitted(part="foot-ball"))
    page = client.get("/pumps/quay-air/record").text
    assert "9000 L" in page.replace(" ", " ") or "9,000 L" in page or "9 000 L" in page
    send(client, "/pumps/quay-air/record", entry=wrong.id)
    standing = [x for x in record.of_pump(desk, "quay-air").lines if not x.withdrawn]
    assert {x.entry.id for x in standing} >= {fitted.id}
    assert wrong.id not in {x.entry.id for x in standing}


def test_entries_after_the_sign_off_are_marked(desk, visit, client):
    desk.keep_in_visit("sign-off", SignOff(technician="Ann"), visit)
    desk.keep_in_visit("note", Note(text="came back for the hose"), visit)
    lines = record.of_visit(desk, visit).lines
    assert [x.after_sign_off for x in lines[:2]] == [True, False]
    assert "After the sign-off" in client.get(f"/visits/{visit}/record").text


def test_what_cannot_be_of_this_pump_is_not_put_back(desk, visit):
    bad = new_entry("stack", StackMeasured(heights={"seat": 1.2}), pump="quay-air", visit=visit)
    desk.depot.append(bad)
    record.withdraw(desk, bad.id)
    with pytest.raises(BadInput, match="200 mm"):
        record.put_back(desk, bad.id)
