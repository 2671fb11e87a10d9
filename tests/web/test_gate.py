"""The gate on its pages: the list ticked where it is needed, who proved zero, what ended it."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from urllib.parse import quote

import pytest

from wetend.pump.make_safe import CLEARING, MakeSafe, PumpRan, all_done
from wetend.pump.readings import CheckReadings
from wetend.records.fold import Visit
from wetend.web.forms import texts_of
from wetend.workflows import checks, visits, zero
from wetend.workflows.desk import Desk

pytestmark = pytest.mark.usefixtures("midday")
WHO = "R. Okafor (invented)"
PLACES = ("complaint", "strip", "rebuild", "strip/steps", "rebuild/steps")
KEYS = re.compile(r'data-key="([^"]+)" data-state="([^"]*)"')
SCRIPT = {"Accept": "application/json"}


def _texts(**more: object) -> dict[str, tuple[str, ...]]:
    return texts_of(all_done("hydraulic").model_copy(update=more), "metric")


@pytest.fixture
def visit(person, site) -> str:
    """A visit with its tools told."""
    made = person.send(f"/pumps/{site.pump}/visits", {}).url.path.removesuffix("/complaint")
    tools = re.findall(r'name="tools" value="([^"]+)"', person.get(f"{made}/strip").text)
    person.send(f"{made}/strip", {"tools": tools, "place": "bench", "vice": "yes"})
    return made


def _seen(site, visit: str) -> Visit:
    return Desk(site.depot).visit(visit.rpartition("/")[2])


def _keys(person, visit: str) -> list[str]:
    return [key for key, _ in KEYS.findall(person.get(f"{visit}/strip/steps").text)]


def _marks(person, visit: str, fields: dict[str, str | list[str]]):
    data = {"_token": person.token(), **fields}
    return person.client.post(f"{visit}/strip/marks", data=data, headers=SCRIPT).json()


@pytest.mark.parametrize("place", PLACES)
def test_the_list_is_ticked_right_where_it_is_needed(person, visit: str, place: str):
    text = person.get(f"{visit}/{place}").text
    assert "Zero is not proven. The list has not been ticked on this visit." in text
    assert "pushes the rod up with 29600 N" in text  # 308 bar on a rod of 35 mm, by hand
    assert "Air bled at the drive" not in text  # this one is hydraulic
    answer = person.send(f"{visit}/{place}/make-safe", _texts())
    assert answer.url.path == f"{visit}/{place}"
    for other in PLACES:
        shown = person.get(f"{visit}/{other}").text
        assert f"<strong>Zero proven</strong> by {WHO}, " in shown
        assert "by the gauge: needle on its stop." in shown


@pytest.mark.parametrize("place", PLACES)
def test_a_reading_that_can_not_be_read_comes_back_on_its_own_page(person, site, visit, place):
    before = len(_seen(site, visit).entries)
    answer = person.send(f"{visit}/{place}/make-safe", {**_texts(), "gauge_reading": "nothing"})
    assert answer.status_code == 422
    assert "“nothing” is not a pressure" in answer.text
    assert re.search(r'name="gun_dead" value="yes" checked', answer.text)
    assert re.search(r"<details open><summary>Tick the make-safe", answer.text) or (
        place == "complaint"
    )
    assert len(_seen(site, visit).entries) == before


def test_without_a_gauge_the_page_never_says_that_one_read_zero(person, visit: str):
    said = {**_texts(way="hand", hose_ends_opened=True, rod_free=True), "gauge_reading": "0"}
    text = person.send(f"{visit}/strip/make-safe", said).text
    assert "without a gauge: dump valve open, gun tried into a bonded pail" in text
    assert "it read" not in text
    half = person.send(f"{visit}/strip/make-safe", {**said, "rod_free": "no"}).text
    assert "Not ticked: Rod free to move by hand" in half


def test_a_list_needs_a_name_and_the_name_typed_with_it_is_remembered(person, visit: str):
    person.client.cookies.clear()
    person.get("/preferences")
    text = person.send(f"{visit}/strip/make-safe", _texts()).text
    assert "a list without a name proves nothing" in text
    text = person.send(f"{visit}/strip/make-safe", {**_texts(), "_who": "  Ada   Example "}).text
    assert "<strong>Zero proven</strong> by Ada Example, " in text
    assert 'name="operation"' in text


def test_zero_stands_for_the_one_who_proved_it_and_the_next_finds_a_blank_list(
    person, site, visit: str
):
    person.send(f"{visit}/strip/make-safe", _texts())
    assert 'value="yes" checked' in person.get(f"{visit}/strip/steps").text
    person.client.cookies.set("wetend-who", quote("Bo Example"))
    text = person.get(f"{visit}/strip/steps").text
    assert (
        f"It holds for {WHO} alone: whoever works on the pump must prove it, and you are "
        "Bo Example."
    ) in text
    assert 'name="done"' not in text
    assert 'value="yes" checked' not in text  # nobody proves with another's ticks
    answer = person.send(f"{visit}/strip/done", {"operation": "slacken-gland"})
    assert answer.status_code == 409
    assert "First tick the make-safe list" in answer.text


@pytest.mark.parametrize("place", PLACES)
def test_anybody_says_that_the_pump_ran_again_and_the_gate_is_shut(person, visit: str, place: str):
    person.send(f"{visit}/{place}/make-safe", _texts())
    person.client.cookies.set("wetend-who", quote("Crew lead (invented)"))
    page = f"{visit}/{place}"
    answer = person.send(f"{visit}/ran", {"why": "flushed <b>", "_back": page})
    assert answer.url.path == page
    person.client.cookies.set("wetend-who", quote(WHO))
    text = person.get(page).text
    assert "Since then: the pump ran again: flushed &lt;b&gt;, " in text
    assert "(Crew lead (invented))" in text
    assert 'name="done"' not in text
    assert person.send(f"{visit}/ran", {"why": "", "_back": "//elsewhere"}).url.path == "/"


def test_a_blockage_is_cleared_step_by_step_before_the_gate_opens(person, visit: str):
    text = person.send(f"{visit}/strip/make-safe", _texts(blockage="suspected")).text
    assert "Nozzle or hose may be blocked and hide pressure. Still to do: Trigger locked" in text
    assert "never look into it" in text
    text = person.send(f"{visit}/strip/make-safe", _texts(blockage="ran free")).text
    assert "may be blocked" in text  # not taken back with a word
    assert re.search(r'value="trigger-locked"', text)
    some = _texts(blockage="cleared", clearing=CLEARING[:2])
    text = person.send(f"{visit}/strip/make-safe", some).text
    assert "Still to do: Hose end loosened" in text
    whole = _texts(blockage="cleared", clearing=CLEARING)
    assert "Zero proven" in person.send(f"{visit}/strip/make-safe", whole).text


def test_a_gauge_in_doubt_is_said_where_zero_is_proven(person, site, visit: str):
    dead = CheckReadings(up_times=(1.3,), down_times=(1.3,), stall_pressure=1e5)
    checks.save(Desk(site.depot, who=WHO), visit.rpartition("/")[2], dead)
    text = person.get(f"{visit}/rebuild").text
    assert "show it dead or wrong. Prove zero without it." in text
    text = person.send(f"{visit}/rebuild/make-safe", _texts()).text
    assert "have shown the gauge dead or wrong" in text
    assert "<strong>Zero proven</strong>" not in text


def test_a_second_tap_keeps_one_list_and_going_back_to_change_it_keeps_another(
    person, site, visit: str
):
    def lists() -> int:
        return sum(e.kind == "make-safe" for e in _seen(site, visit).entries)

    act = {"_act": "0123456789abcdef0123456789abcdef"}
    for _ in range(2):
        person.send(f"{visit}/strip/make-safe", {**_texts(), **act})
    assert lists() == 1
    person.send(f"{visit}/strip/make-safe", {**_texts(), **act, "_who": "Bo"})
    person.send(f"{visit}/strip/make-safe", {**_texts(bonded=False), **act})
    assert lists() == 3


def test_marks_of_a_device_count_by_their_age_and_it_is_told_which_do_not(person, site, visit: str):
    desk, held, now = Desk(site.depot, who=WHO), visit.rpartition("/")[2], datetime.now(UTC)
    desk.keep("make-safe", all_done("hydraulic"), pump=site.pump, visit=held,
              at=now - timedelta(seconds=60))  # fmt: skip
    a, b, c, d, e = _keys(person, visit)[:5]
    told = _marks(person, visit, {"done": [a], f"age.{a}": "0"})
    assert told["refused"] == {}
    assert told["zero"]["stands"]
    desk.keep("pump-ran", PumpRan(), pump=site.pump, visit=held, at=now - timedelta(seconds=20))
    told = _marks(person, visit, {
        "done": [a, b, c, d, e], f"age.{b}": "40000", f"age.{c}": "0", f"age.{d}": "-60000",
        f"age.{e}": "1e300",
    })  # fmt: skip
    assert set(told["refused"]) == {c, d, e}
    assert "the pump ran again" in told["refused"][c]
    assert not told["zero"]["stands"]
    assert set(_seen(site, visit).progress.done) == {a, b}


def test_without_script_a_mark_made_after_zero_lapsed_says_so_and_a_good_one_beside_it_is_kept(
    person, site, visit: str
):
    person.send(f"{visit}/strip/make-safe", _texts())
    key, other = _keys(person, visit)[:2]
    person.send(f"{visit}/strip/marks", {"done": [key]})
    person.send(f"{visit}/ran", {})
    answer = person.send(f"{visit}/strip/marks", {"done": [key, other]})
    assert answer.status_code == 409
    assert "the pump ran again" in answer.text
    assert _seen(site, visit).progress.done == (key,)


def test_a_pump_that_ran_is_told_late_with_its_age(person, site, visit: str):
    person.send(f"{visit}/strip/make-safe", _texts())
    data = {"_token": person.token(), "age": "3600000"}
    told = person.client.post(f"{visit}/ran", data=data, headers=SCRIPT).json()
    assert told["zero"]["stands"]  # an hour ago, before zero was proven
    told = person.client.post(f"{visit}/ran", data={**data, "age": "0"}, headers=SCRIPT).json()
    assert not told["zero"]["stands"]
    ran = [x for x in _seen(site, visit).entries if x.kind == "pump-ran"]
    assert (ran[1].at - ran[0].at).total_seconds() == pytest.approx(3600, abs=60)


def test_the_demo_visit_half_way_through_its_rebuild_shows_that_yesterday_is_over(person, site):
    desk = Desk(site.depot, who="J. Vantrell (demo)")
    half = next(v for v in visits.open_visits(desk) if desk.visit(v.id).rebuilt)
    person.client.cookies.set("wetend-who", quote(desk.who))
    text = person.get(f"/visits/{half.id}/rebuild").text
    assert "Zero was proven by J. Vantrell (demo), " in text
    assert "That was on another day. Prove it again." in text
    assert desk.visit(half.id).make_safe.lacking("hydraulic") == ()
    assert zero.gate_of(desk, desk.visit(half.id)).begun == MakeSafe()


@pytest.mark.parametrize("stage", ["checks", "prove"])
def test_a_form_of_readings_says_that_they_end_zero_while_it_stands(person, visit, stage):
    ends = "Readings of a pump under pressure end it."
    assert ends not in person.get(f"{visit}/{stage}").text
    person.send(f"{visit}/strip/make-safe", _texts())
    text = person.get(f"{visit}/{stage}").text
    assert text.count(ends) == 1
    assert text.index(ends) < text.index('name="stall_pressure"')
    person.send(f"{visit}/{stage}", {"stall_pressure": "200"})
    assert ends not in person.get(f"{visit}/{stage}").text
