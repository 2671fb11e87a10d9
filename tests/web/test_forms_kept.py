"""Forms at work: sent twice, by two people, gone back to, and refused."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from wetend.pump.readings import VisitStart
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

_HIDDEN = re.compile(r'<input type="hidden" name="(_[a-z]+)" value="([^"]*)">')


@dataclass
class Opened:
    """A form as someone's browser holds it: its hidden fields, and what is typed."""

    client: TestClient
    action: str
    hidden: dict[str, str]

    def send(self, **typed: str):
        return self.client.post(self.action, data={**self.hidden, **typed})


@dataclass
class Work:
    """A depot with one visit, and people at their browsers."""

    depot: Depot
    app: object
    visit: str

    def someone(self, who: str) -> TestClient:
        client = TestClient(self.app, base_url="http://localhost")
        client.cookies.set("wetend-who", who)
        return client

    def open(self, client: TestClient, stage: str, action: str) -> Opened:
        page = client.get(f"/visits/{self.visit}/{stage}").text
        form = re.search(rf'<form[^>]*action="{re.escape(action)}".*?</form>', page, re.S)
        assert form, action
        hidden = {n: html.unescape(v) for n, v in _HIDDEN.findall(form[0])}
        return Opened(client, action, hidden)

    def checks(self, who: str) -> Opened:
        return self.open(self.someone(who), "checks", f"/visits/{self.visit}/checks")

    @property
    def readings(self):
        return Desk(self.depot).visit(self.visit).readings


@pytest.fixture
def work(tmp_path: Path) -> Iterator[Work]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        desk = Desk(depot)
        pump = pumps.describe(desk, demo_pump("quay-air"))
        visit = visits.start(desk, VisitStart(pump=pump.key))
        visits.choose_coating(desk, visit, demo_coatings()[0])
        yield Work(depot, create_app(depot), visit)


def test_a_second_tap_keeps_once(work):
    form = work.checks("Ann")
    before = len(work.depot.entries())
    assert form.send(stall_pressure="270").status_code == 200
    assert form.send(stall_pressure="270").status_code == 200
    assert len(work.depot.entries()) == before + 1


def test_a_visit_started_by_two_taps_is_one(work):
    client = work.someone("Ann")
    page = client.get("/pumps/quay-air/visits").text
    hidden = {n: html.unescape(v) for n, v in _HIDDEN.findall(page.split('id="start"')[1])}
    sent = {**hidden, "reason": "stands idle"}
    first = client.post("/pumps/quay-air/visits", data=sent).url.path
    assert client.post("/pumps/quay-air/visits", data=sent).url.path == first
    assert len(visits.open_visits(Desk(work.depot))) == 2


def test_a_remark_sent_twice_is_kept_once(work):
    client = work.someone("Ann")
    form = work.open(client, "checks", f"/visits/{work.visit}/notes")
    for _ in range(2):
        form.send(text="Wet round the elbow", stage="checks")
    assert len(Desk(work.depot).visit(work.visit).notes) == 1


def test_an_older_form_left_blank_wipes_nothing_of_another(work):
    older = work.checks("Ann")
    work.checks("Ben").send(up_times="1.29, 1.24")
    older.send(stall_pressure="270")
    assert work.readings.up_times == (1.29, 1.24)
    assert work.readings.stall_pressure == pytest.approx(2.7e7)


def test_two_who_change_the_same_field_are_shown_both_and_nothing_is_overwritten(work):
    older = work.checks("Ann")
    work.checks("Ben").send(stall_pressure="250")
    answer = older.send(stall_pressure="270")
    assert answer.status_code == 422
    assert "Ben entered 250 bar" in answer.text
    assert "you entered 270 bar" in answer.text
    assert work.readings.stall_pressure == pytest.approx(2.5e7)
    hidden = {n: html.unescape(v)
              for n, v in _HIDDEN.findall(answer.text.split('id="checks"')[-1])}  # fmt: skip
    again = Opened(older.client, older.action, hidden)
    assert again.send(stall_pressure="270").status_code == 200
    assert work.readings.stall_pressure == pytest.approx(2.7e7)


def test_going_back_to_a_form_changes_what_it_said(work):
    form = work.checks("Ann")
    form.send(stall_pressure="270", spray_pressure="180")
    assert form.send(spray_pressure="185").status_code == 200
    assert work.readings.stall_pressure is None
    assert work.readings.spray_pressure == pytest.approx(1.85e7)


def test_a_form_opened_again_and_emptied_empties_the_field(work):
    work.checks("Ann").send(stall_pressure="270", spray_pressure="180")
    work.checks("Ann").send(stall_pressure="", spray_pressure="180")
    assert work.readings.stall_pressure is None
    assert work.readings.spray_pressure == pytest.approx(1.8e7)


@pytest.mark.parametrize(
    ("stage", "typed"),
    [
        ("rebuild", {"heights.seat": "1201"}),
        ("rebuild", {"tin": "25"}),
        ("rebuild", {"heights.nonsense": "3"}),
        ("strip", {"tools": "magic-wand"}),
    ],
)
def test_what_is_refused_is_not_kept_and_shuts_no_page(work, stage: str, typed: dict[str, str]):
    client = work.someone("Ann")
    form = work.open(client, stage, f"/visits/{work.visit}/{stage}")
    before = [e.id for e in work.depot.entries()]
    answer = form.send(**typed)
    assert answer.status_code == 422
    assert "Please correct" in answer.text
    assert [e.id for e in work.depot.entries()] == before
    for page in ("rebuild", "strip", "prove", "handover"):
        assert client.get(f"/visits/{work.visit}/{page}").status_code == 200
