"""Pages start no thread: equal ones asked for at once start one job, and a failed job is said."""

from __future__ import annotations

import re
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from threading import Event

import pytest

from wetend.background import BACKGROUND
from wetend.web import fleet as fleet_page
from wetend.web import practice as practice_page
from wetend.workflows import checks
from wetend.workflows.months_in_background import FLEET_MONTHS

PATIENCE = 120.0


@pytest.fixture(autouse=True)
def quiet() -> Iterator[None]:
    """No job of another test is in the way."""
    BACKGROUND.end(PATIENCE)
    yield
    BACKGROUND.end(PATIENCE)


@pytest.fixture
def fresh_visit(person, site) -> str:
    """Path of the checks of a visit without readings, its coating chosen."""
    made = person.send(f"/pumps/{site.pump}/visits", {"reason": "quick"})
    visit = re.search(r"/visits/([0-9a-f]{32})", str(made.url))
    assert visit is not None
    path = f"/visits/{visit[1]}/checks"
    person.send(f"{path}/coating", {"coating": "epoxy-tank"})
    BACKGROUND.end(PATIENCE)
    checks._made_ready.forget()
    return path


def test_equal_pages_at_once_start_one_job(person, fresh_visit, monkeypatch) -> None:
    calls, gate = [], Event()

    def slow(visit) -> None:
        calls.append(visit.id)
        gate.wait(PATIENCE)

    monkeypatch.setattr(checks, "make_ready_for", slow)
    with ThreadPoolExecutor(6) as six:
        answers = list(six.map(lambda _: person.get(fresh_visit).status_code, range(6)))
    assert answers == [200] * 6
    told = BACKGROUND.figures()
    assert (*told.running, *told.waiting).count("getting ready for readings") == 1
    gate.set()
    BACKGROUND.end(PATIENCE)
    assert len(calls) == 1


def test_what_is_ready_is_not_made_ready_again(person, fresh_visit) -> None:
    person.get(fresh_visit)
    for job in list(BACKGROUND._jobs.values()):
        assert job.ended.wait(PATIENCE)
    person.get(fresh_visit)
    assert BACKGROUND.figures().waiting == BACKGROUND.figures().running == ()


def test_a_failed_job_leaves_the_page_whole_and_is_said(person, fresh_visit, monkeypatch) -> None:
    def fails(_) -> None:
        raise ZeroDivisionError("inside")

    monkeypatch.setattr(checks, "make_ready_for", fails)
    person.get(fresh_visit)
    for job in list(BACKGROUND._jobs.values()):
        assert job.ended.wait(PATIENCE)
    page = person.get(fresh_visit)
    assert page.status_code == 200
    assert "getting ready for readings: it ended in an error" in page.text
    assert "inside" not in page.text.partition("ended in an error")[2][:200]
    assert "getting ready for readings" in person.get("/memory").text.lower()


def test_the_debriefing_of_practice_is_made_ready_once(person, monkeypatch) -> None:
    model = practice_page.MODEL.wait(PATIENCE)
    calls, gate = [], Event()

    def slow(code, moves) -> None:
        calls.append((code, moves))
        gate.wait(PATIENCE)
        raise ZeroDivisionError

    monkeypatch.setattr(model, "make_ready_for", slow)
    path = str(person.get("/practice/new?pump=quay-air").url.path)
    for _ in range(4):
        assert person.get(path).status_code == 200
    gate.set()
    for job in list(BACKGROUND._jobs.values()):
        assert job.ended.wait(PATIENCE)
    assert len(calls) == 1
    page = person.get(path)
    assert page.status_code == 200
    assert "getting the debriefing ready: it ended in an error" in page.text


def test_months_of_large_fleets_end_with_the_server(reader, monkeypatch) -> None:
    monkeypatch.setattr(fleet_page, "MOST_HERE", 2)
    page = reader.get("/fleet/months?months=59&service=901").text
    (key,) = re.findall(r'name="played" value="([0-9a-f]+)"', page)
    run = FLEET_MONTHS.find(key)
    assert run.going
    BACKGROUND.end(PATIENCE)
    # stopped, or dropped before it began
    assert FLEET_MONTHS.find(key).standing in ("stopped", "failed")
    assert run.ended.wait(PATIENCE)
    assert run.months is None


def test_a_full_queue_is_said_and_the_page_answers(person, reader, monkeypatch) -> None:
    monkeypatch.setattr(fleet_page, "MOST_HERE", 2)
    gate = Event()
    for number in range(80):
        BACKGROUND.submit(number, lambda _: gate.wait(PATIENCE), title="in the way")
    page = reader.get("/fleet/months?months=58&service=902")
    gate.set()
    assert page.status_code == 200
    assert "try again in a minute" in page.text


def test_pages_of_a_small_fleet_are_computed_once(reader) -> None:
    first = reader.get("/fleet/months?months=7").text
    before = fleet_page.workflow._PLAYED.figures()
    tables = re.compile(r"<table>.*?</table>", re.DOTALL)
    assert tables.findall(reader.get("/fleet/months?months=7").text) == tables.findall(first)
    after = fleet_page.workflow._PLAYED.figures()
    assert (after.misses, after.hits) == (before.misses, before.hits + 1)


def test_the_memory_page_names_every_memory(reader) -> None:
    page, told = reader.get("/memory"), reader.get("/memory.json").json()
    assert page.status_code == 200
    for memory in told["held"]:
        assert memory["bytes"] <= memory["most"] or memory["entries"] == 1, memory
        assert memory["name"][1:] in page.text.replace("&#39;", "'")
    assert told["bytes"] == sum(m["bytes"] for m in told["held"])
