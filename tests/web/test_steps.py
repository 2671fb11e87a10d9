"""One step a screen: the gate stands, marks come back as they were sent, without script too."""

from __future__ import annotations

import re

import pytest

from wetend.pump.make_safe import all_done
from wetend.pump.toml import demo_coatings
from wetend.web.forms import texts_of
from wetend.workflows.desk import Desk
from wetend.workflows.visits import choose_coating

ALL_SAFE = texts_of(all_done("hydraulic"), "metric")
KEYS = re.compile(r'data-key="([^"]+)" data-state="([^"]*)"')


@pytest.fixture
def visit(person, site) -> str:
    """A visit with its tools told, zero not proven."""
    made = person.send(f"/pumps/{site.pump}/visits", {}).url.path.removesuffix("/complaint")
    tools = re.findall(r'name="tools" value="([^"]+)"', person.get(f"{made}/strip").text)
    person.send(f"{made}/strip", {"tools": tools, "place": "bench", "vice": "yes"})
    return made


def _safe(person, visit: str) -> None:
    person.send(f"{visit}/complaint/make-safe", ALL_SAFE)


def _done(site, visit: str, stage: str) -> tuple[str, ...]:
    seen = Desk(site.depot).visit(visit.rpartition("/")[2])
    kept = seen.progress if stage == "strip" else seen.rebuilt
    return kept.done if kept else ()


@pytest.mark.parametrize("stage", ["strip", "rebuild"])
def test_before_zero_is_proven_steps_are_shown_but_can_not_be_marked(person, site, visit, stage):
    text = person.get(f"{visit}/{stage}/steps").text
    assert "Zero is not proven" in text
    assert 'name="done"' not in text
    key = KEYS.search(text)[1]
    assert person.send(f"{visit}/{stage}/marks", {"done": key}).status_code == 409
    assert _done(site, visit, stage) == ()


@pytest.mark.parametrize("stage", ["strip", "rebuild"])
def test_every_step_at_the_pump_is_drawn_and_the_parts_stand_once(person, site, visit, stage):
    text = person.get(f"{visit}/{stage}/steps").text
    operations = {
        o.key for o in Desk(site.depot).visit(visit.rpartition("/")[2]).pump.strip.operations
    }
    screens = re.split(r'<li class="screen"', text)[1:]
    steps = {KEYS.search(s)[1]: s for s in screens if KEYS.search(s)}
    assert len(operations & steps.keys()) >= 10
    for key in operations & steps.keys():
        assert steps[key].count("dw-act") == 1, key
        assert steps[key].index("dw-act") > max(steps[key].find('class="caution'), 0), key
    wrong = {key for key, screen in steps.items() if "dw-wrong" in screen}
    assert len(wrong) == (4 if stage == "rebuild" else 0), wrong
    pointed = set(re.findall(r'href="#(act-[a-z-]+)"', text))
    assert pointed
    for part in pointed:
        assert text.count(f'id="{part}"') == 1


@pytest.mark.parametrize("stage", ["strip", "rebuild"])
def test_every_step_stands_in_the_one_page_with_its_cautions(person, site, visit, stage):
    _safe(person, visit)
    text = person.get(f"{visit}/{stage}/steps").text
    numbers = [int(n) for n in re.findall(r'id="step-(\d+)"', text)]
    assert numbers == list(range(1, len(numbers) + 1))
    assert len(numbers) == len(KEYS.findall(text)) + 1
    assert text.count("Danger") >= 5
    for target in re.findall(r'href="#step-(\d+)"', text):
        assert int(target) in numbers


@pytest.mark.parametrize("stage", ["strip", "rebuild"])
def test_many_marks_sent_at_once_and_twice_are_kept_once(person, site, visit, stage):
    _safe(person, visit)
    keys = [k for k, _ in KEYS.findall(person.get(f"{visit}/{stage}/steps").text)][:4]
    for _ in range(2):
        person.send(f"{visit}/{stage}/marks", {"done": keys[:3]})
    assert _done(site, visit, stage) == tuple(keys[:3])
    person.send(f"{visit}/{stage}/marks", {"done": [keys[3]], "undone": [keys[0]]})
    assert _done(site, visit, stage) == tuple(keys[1:])


def test_without_script_a_mark_leads_on_to_the_next_step(person, site, visit):
    _safe(person, visit)
    key = KEYS.search(person.get(f"{visit}/strip/steps").text)[1]
    answer = person.client.post(
        f"{visit}/strip/marks",
        data={"_token": person.token(), "done": key, "at": "1"},
        follow_redirects=False,
    )
    assert answer.status_code == 303
    assert answer.headers["location"].endswith("/strip/steps#step-2")


def test_a_mark_of_a_step_that_is_not_there_is_refused(person, site, visit):
    _safe(person, visit)
    answer = person.send(f"{visit}/rebuild/marks", {"done": "<b>nonsense"})
    assert answer.status_code == 422
    assert "&lt;b&gt;nonsense" in answer.text


def test_without_a_tool_bag_there_are_no_steps_and_it_says_so(person, site):
    made = person.send(f"/pumps/{site.pump}/visits", {}).url.path.removesuffix("/complaint")
    for stage in ("strip", "rebuild"):
        answer = person.get(f"{made}/{stage}/steps")
        assert answer.status_code == 422
        assert "enter the tools to hand on the strip page" in answer.text


def test_the_rebuild_page_shows_the_order_and_prints_it(person, site, visit):
    person.send(f"{visit}/rebuild", {"tin": "0.5 mm, 0.25 mm", "lever": "500 mm"})
    text = person.get(f"{visit}/rebuild").text
    assert "Reassemble" in text
    assert "Shims on top of the cage: " in person.get(f"{visit}/rebuild/steps").text
    card = person.get(f"{visit}/rebuild-card.pdf")
    assert card.headers["content-type"] == "application/pdf"
    assert card.content.startswith(b"%PDF")


def test_two_goals_at_once_are_one_plan(person, site, visit):
    tools = re.findall(r'name="tools" value="([^"]+)"', person.get(f"{visit}/strip").text)
    person.send(f"{visit}/strip", {"tools": tools, "vice": "yes", "goal": "foot-valve",
                                   "also": ["static-packings"]})  # fmt: skip
    keys = {k for k, _ in KEYS.findall(person.get(f"{visit}/strip/steps").text)}
    given = {
        part
        for o in Desk(site.depot).pump(site.pump).strip.operations
        if o.key in keys
        for part in o.gives
    }
    assert {"foot-seat", "static-packings"} <= given
    assert "piston-seat" not in given


def test_a_failed_proof_goes_back_to_the_checks_with_its_readings(person, site, visit):
    assert person.send(f"{visit}/prove/to-checks", {}).status_code == 422
    assert person.get(f"{visit}/certificate.pdf").status_code == 422
    choose_coating(Desk(site.depot), visit.rpartition("/")[2], demo_coatings()[0])
    failing = {"stall_pressure": "240", "stall_time": "60", "stall_creep_down": "300",
               "stall_creep_up": "0"}  # fmt: skip
    text = person.send(f"{visit}/prove", failing).text
    assert "Find the fault with these readings" in text
    assert "Risk of a wrong verdict" in text
    card = person.get(f"{visit}/certificate.pdf")
    assert card.content.startswith(b"%PDF")
    answer = person.send(f"{visit}/prove/to-checks", {})
    assert answer.url.path.endswith("/checks")
    kept = Desk(site.depot).visit(visit.rpartition("/")[2]).readings
    assert kept is not None
    assert kept.creep_down == pytest.approx(0.3 / 60)


def test_shims_are_tried_on_a_page_of_their_own_and_nothing_is_kept(person, site, visit):
    assert "on the rebuild page first" in person.get(f"{visit}/rebuild/what-if").text
    person.send(f"{visit}/rebuild", {"tin": "0.5 mm, 0.25 mm"})
    before = len(Desk(site.depot).visit(visit.rpartition("/")[2]).entries)
    assert "Enter shims to see what happens" in person.get(f"{visit}/rebuild/what-if").text
    text = person.get(f"{visit}/rebuild/what-if?on_top=0.5&under=0.25&_units=metric").text
    assert "0.50 mm on top, 0.25 mm under the cage" in text
    assert "lifts 0.25 mm more" in text
    wrong = person.get(f"{visit}/rebuild/what-if?on_top=nonsense&_units=metric")
    assert wrong.status_code == 422
    assert "nonsense" in wrong.text
    assert len(Desk(site.depot).visit(visit.rpartition("/")[2]).entries) == before


def test_the_rebuild_page_shows_its_next_step_drawn(reader):
    """Of the demo depot's pump that stands half-way through its rebuild; the rest say nothing."""
    found = []
    for visit in dict.fromkeys(
        re.findall(r"/visits/([0-9a-f]{32})", reader.get("/pumps/east-yard").text)
    ):
        text = reader.get(f"/visits/{visit}/rebuild").text
        if 'id="now"' in text:
            found.append(text)
    (text,) = found
    now = text.partition('id="now"')[2].partition("All steps")[0]
    assert "Step 13 of 25" in now
    assert 'class="dw-lit"' in now
    assert 'data-back=""' in now
    assert text.count("dw-stock") == 1


def test_the_tray_shows_what_came_off_and_what_goes_in_next(person, site, visit):
    _safe(person, visit)
    keys = [k for k, _ in KEYS.findall(person.get(f"{visit}/strip/steps").text)]
    assert "dw-lying" not in person.get(f"{visit}/strip").text
    person.send(f"{visit}/strip/marks", {"done": keys[:9]})
    some = person.get(f"{visit}/strip").text
    assert 0 < some.count("dw-lying") < some.count("dw-lying") + some.count("dw-ghost")
    end = person.get(f"{visit}/strip/steps").text.split(f'id="step-{len(keys) + 1}"')[1]
    assert end.count("dw-lying") > some.count("dw-lying")
    person.send(f"{visit}/strip/marks", {"done": keys})
    apart = person.get(f"{visit}/rebuild").text.count("dw-lying")
    assert apart == end.count("dw-lying")
    back = [k for k, _ in KEYS.findall(person.get(f"{visit}/rebuild/steps").text)]
    person.send(f"{visit}/rebuild/marks", {"done": back[:4]})
    assert person.get(f"{visit}/rebuild").text.count("dw-lying") < apart
    assert 'class="dw-accent-thick dw-open"' in person.get(f"{visit}/rebuild").text


def test_the_parts_of_a_pump_lead_to_its_wall_sheet_and_pocket_card(person, site):
    text = person.get(f"/pumps/{site.pump}/parts").text
    for name in ("wall-sheet", "pocket-card"):
        assert f'href="/pumps/{site.pump}/{name}.pdf"' in text
        answer = person.get(f"/pumps/{site.pump}/{name}.pdf")
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")
