"""A visit one act a screen: saved alone, undone, refused, left out; without script."""

from __future__ import annotations

import html
import re

import pytest
from tests.web.conftest import WHO, Person, Site, cautions_on

from wetend.pump.make_safe import PumpRan, all_done
from wetend.pump.readings import CheckReadings, VisitStart
from wetend.web.do.pages import address_of
from wetend.workflows import checks, strip, visits, zero
from wetend.workflows.acts.queue import acts_of
from wetend.workflows.desk import Desk

pytestmark = pytest.mark.usefixtures("midday")
WAS = re.compile(r'name="_was" value="([^"]*)"')
_WEIGHT = 60_000


@pytest.fixture
def desk(site: Site) -> Desk:
    return Desk(site.depot, who=WHO)


@pytest.fixture
def visit(desk: Desk) -> str:
    made = visits.start(desk, VisitStart(pump="north-quay"))
    visits.choose_coating(desk, made, desk.coatings()[0])
    return made


def _was(page: str) -> str:
    found = WAS.search(page)
    assert found
    return html.unescape(found[1])


def test_the_visit_goes_on_at_its_next_act(person: Person, visit: str):
    page = person.get(f"/visits/{visit}/do")
    assert page.url.path.endswith("/do/complaint/crew")
    sheet = person.get(f"/visits/{visit}/checks").text
    assert (
        f'<a class="button" href="/visits/{visit}/do">Go on: Ask the crew what they see</a>'
        in sheet
    )


def test_an_act_is_saved_alone_said_and_undone(person: Person, desk: Desk, visit: str):
    checks.save(desk, visit, CheckReadings(wet_cup="clean"))
    path = f"/visits/{visit}/do/checks/gauge-spray"
    shown = person.get(path).text
    assert 'name="wet_cup"' not in shown
    after = person.send(
        path, {"spray_pressure": "190", "_was": _was(shown), "wet_cup": "coating in it"}
    )
    assert "Saved: Read the gauge while spraying" in after.text
    readings = desk.visit(visit).readings
    assert readings is not None
    assert (readings.spray_pressure, readings.wet_cup) == (1.9e7, "clean")
    entry = re.search(r'name="entry" value="([^"]+)"', after.text)
    assert entry
    back = person.send(f"{path}/undo", {"entry": entry[1]})
    assert back.url.path == path
    assert "Taken back." in back.text
    now = desk.visit(visit).readings
    assert now is not None
    assert now.spray_pressure is None


def test_what_cannot_be_read_comes_back_as_typed(person: Person, desk: Desk, visit: str):
    path = f"/visits/{visit}/do/checks/gauge-spray"
    again = person.send(path, {"spray_pressure": "about <190>", "_was": "null"})
    assert again.status_code == 422
    assert 'value="about &lt;190&gt;"' in again.text
    assert "Not saved yet" in again.text
    assert desk.visit(visit).readings is None
    empty = person.send(path, {"spray_pressure": "", "_was": "null"})
    assert empty.status_code == 422
    assert "say that it can" in empty.text


def test_cannot_is_kept_with_its_reason_and_stays_in_the_list(
    person: Person, desk: Desk, visit: str
):
    path = f"/visits/{visit}/do/checks/supply"
    after = person.send(f"{path}/cannot", {"reason": "", "other": "no <gauge> at the drive"})
    assert after.status_code == 200
    listed = person.get(f"/visits/{visit}/do/list").text
    assert "could not be done" in listed.lower()
    assert "no &lt;gauge&gt; at the drive" in listed
    readings = desk.visit(visit).readings
    assert readings is not None
    assert readings.could_not == ("supply",)
    assert person.send(f"{path}/cannot", {"reason": ""}).status_code == 422


def test_a_gated_act_shows_the_gate_and_no_entry(person: Person, desk: Desk, visit: str):
    path = f"/visits/{visit}/do/prove/guards"
    shut = person.get(path).text
    assert "Zero is not proven" in cautions_on(shut)[0]
    assert 'name="guards"' not in shut
    assert "Make it safe first" in shut
    refused = person.send(path, {"guards": "yes"})
    assert refused.status_code == 409
    assert "Zero is not proven" in refused.text
    drive = desk.visit(visit).pump.drive.kind
    zero.save_list(desk, visit, all_done(drive))
    shown = person.get(path).text
    assert 'name="guards" value="yes"' in shown
    zero.report_ran(desk, visit, PumpRan(why="proof run"))
    late = person.send(path, {"guards": "yes"})
    assert "proof run" in late.text
    assert desk.visit(visit).proof is None


def test_a_list_wants_a_name_and_remembers_it(person: Person, desk: Desk, visit: str):
    person.client.cookies.delete("wetend-who")
    path = f"/visits/{visit}/do/make-safe/bonded"
    assert 'name="_who"' in person.get(path).text
    nameless = person.send(path, {"bonded": "yes"})
    assert nameless.status_code == 422
    assert "Enter your name" in nameless.text
    person.send(path, {"bonded": "yes", "_who": "S. Other (invented)"})
    assert desk.visit(visit).entries[-1].who == "S. Other (invented)"
    assert 'name="_who"' not in person.get(f"/visits/{visit}/do/make-safe/protected").text


def test_every_act_has_a_light_page_with_one_caution_whole(person: Person, desk: Desk, visit: str):
    strip.save_bag(desk, visit, desk.visit(_last_bag(desk)).bag)  # type: ignore[arg-type]
    zero.save_list(desk, visit, all_done(desk.visit(visit).pump.drive.kind))
    acts = [a for a in acts_of(desk, visit).acts if not a.path]
    assert {a.stage for a in acts} == {
        "complaint", "checks", "make-safe", "strip", "inspect", "rebuild", "prove", "handover"
    }  # fmt: skip
    for act in acts:
        answer = person.get(f"/visits/{visit}/do/{act.name}")
        assert answer.status_code == 200, act.name
        assert len(answer.content) < _WEIGHT, act.name
        head = answer.text.partition('class="thumb"')[0]
        folded = re.sub(r"<details.*?</details>", "", head, flags=re.DOTALL)
        assert len(cautions_on(folded)) <= 1, act.name
        assert len(act.title.split()) <= 12, act.title


def _last_bag(desk: Desk) -> str:
    found = desk.depot.entries(kinds=("tool-bag",))[-1].visit
    assert found
    return found


def test_a_strip_step_is_done_on_its_own_page(person: Person, desk: Desk, visit: str):
    strip.save_bag(desk, visit, desk.visit(_last_bag(desk)).bag)  # type: ignore[arg-type]
    step = next(a for a in acts_of(desk, visit).acts if a.path)
    answer = person.get(f"/visits/{visit}/do/{step.name}")
    assert answer.url.path == f"/visits/{visit}/strip/steps"
    assert address_of(visit, step) == f"/visits/{visit}/strip/steps#step-1"
    assert person.get(f"/visits/{visit}/do/strip/song").status_code == 404
