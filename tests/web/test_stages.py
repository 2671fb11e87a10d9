"""What the stage pages guard: zero before the strip, units of a form, a coating of one's own."""

from __future__ import annotations

import html
import re
from threading import Event

import pytest

from wetend.advice.diagnosis.checks import CHECKS
from wetend.background import Background
from wetend.keeping import forget
from wetend.pump.make_safe import all_done
from wetend.records.fold import Visit
from wetend.web.forms import texts_of
from wetend.workflows.desk import Desk

from .conftest import PATIENCE, cautions_on

ALL_SAFE = texts_of(all_done("hydraulic"), "metric")


@pytest.fixture
def visit(person, site) -> str:
    """A visit just begun."""
    return person.send(f"/pumps/{site.pump}/visits", {}).url.path.removesuffix("/complaint")


def _bag(person, visit: str, **more) -> str:
    tools = re.findall(r'name="tools" value="([^"]+)"', person.get(f"{visit}/strip").text)
    return person.send(f"{visit}/strip", {"tools": tools, "place": "bench", **more}).text


def test_no_step_is_marked_done_before_zero_is_proven(person, site, visit: str):
    text = _bag(person, visit)
    assert "Zero is not proven" in text
    assert 'name="operation"' not in text
    answer = person.send(f"{visit}/strip/done", {"operation": "slacken-gland"})
    assert answer.status_code == 409
    assert "Make it safe first" in answer.text


def test_a_pump_that_does_not_run_is_told_where_to_look_first(person, visit: str):
    text = person.send(f"{visit}/complaint", {"seen": ["does not run"]}).text
    look = text[text.index("Check these first, in this order") :]
    assert "1. Stalled against a blockage ahead of it" in look
    assert "keeps its pressure after the dump valve" in look
    assert look.index("No oil pressure at the drive") < look.index("Packings seized")
    assert "No current at the drive" not in look
    checks = person.get(f"{visit}/checks").text
    assert "Rule out first: stalled against a blockage" in checks
    assert f'href="{visit}/complaint#answer"' in checks


def test_the_hand_over_says_what_to_do_between_jobs(person, visit: str):
    assert "Between jobs" not in person.get(f"{visit}/handover").text
    person.send(f"{visit}/checks/coating", {"coating": "alkyd-topcoat"})
    text = person.get(f"{visit}/handover").text
    care = text[text.index("Between jobs") :]
    for said in ("Flush", "Shut down for the night", "Store for weeks", "Start after storage",
                 "Change the product", "rod at the bottom of its stroke",
                 "solvent and water must not meet"):  # fmt: skip
        assert said in care


def test_the_rebuild_says_what_to_soak_fill_and_tighten_by_hand(person, visit: str):
    _bag(person, visit, goal="whole", vice="yes")
    text = person.get(f"{visit}/rebuild/steps").text
    for said in ("Start soaking the new static packings now",
                 "Leather rings are soaked in light oil",
                 "joints staggered", "hand-tight on the V-rings, then 1 flat",
                 "The liquid that the coating&#39;s maker allows"):  # fmt: skip
        assert said in text


def test_a_sight_no_longer_offered_is_kept_where_it_was_ticked(person, visit: str):
    assert "fan tails or pulses" not in person.get(f"{visit}/complaint").text
    text = person.send(f"{visit}/complaint", {"seen": ["fan tails or pulses"]}).text
    assert 'value="fan tails or pulses" checked' in text


@pytest.mark.parametrize("gauge", ["", "40", "2.5"])
def test_zero_is_not_proven_by_ticks_alone(person, visit: str, gauge: str):
    said = {**ALL_SAFE, "needle": "not looked", "gauge_reading": gauge}
    text = person.send(f"{visit}/complaint/make-safe", said).text
    assert "Zero proven" not in text
    assert "Do not put a spanner to the pump" in text


def test_steps_are_marked_done_one_after_another_and_taken_back(person, site, visit: str):
    person.send(f"{visit}/complaint/make-safe", ALL_SAFE)
    text = _bag(person, visit)
    first = re.search(r'name="operation" value="([^"]+)"', text)[1]
    text = person.send(f"{visit}/strip/done", {"operation": first}).text
    second = re.search(r'name="operation" value="([^"]+)"', text)[1]
    assert second != first
    assert f'name="undo" value="{first}"' in person.get(f"{visit}/strip?step=1").text
    text = person.send(f"{visit}/strip/done", {"undo": first}).text
    assert f'name="operation" value="{first}"' in text
    done = Desk(site.depot).visit(visit.rpartition("/")[2]).progress
    assert done is not None
    assert done.done == ()


def test_an_unknown_operation_is_refused(person, visit: str):
    person.send(f"{visit}/complaint/make-safe", ALL_SAFE)
    answer = person.send(f"{visit}/strip/done", {"operation": "saw-it-open"})
    assert answer.status_code == 422


def test_too_few_tools_say_what_is_lacking(person, visit: str):
    text = person.send(f"{visit}/strip", {"place": "site", "goal": "whole"}).text
    assert "No safe way with these tools" in text
    assert "needs" in text


def test_bare_numbers_keep_the_units_the_form_was_opened_in(person, site, visit: str):
    person.send("/preferences", {"units": "imperial"})  # in another tab, after the form was opened
    person.send(f"{visit}/checks", {"spray_pressure": "200", "_units": "metric"})
    person.send("/preferences", {"units": "metric"})
    readings = Desk(site.depot).visit(visit.rpartition("/")[2]).readings
    assert readings is not None
    assert readings.spray_pressure == pytest.approx(200e5)


def test_a_coating_of_ones_own_is_kept_with_an_id_from_its_name(person, site, visit: str):
    coating = {"name": "Grey primer 2", "density": "1.3", "viscosity": "300", "law": "newtonian"}
    answer = person.send(f"{visit}/coating", coating)
    assert answer.url.path == f"{visit}/checks"
    assert "Grey primer 2" in answer.text
    kept = Desk(site.depot).visit(visit.rpartition("/")[2]).coating
    assert kept is not None
    assert kept.key == "grey-primer-2"


def test_a_coating_that_lacks_its_law_comes_back(person, visit: str):
    answer = person.send(f"{visit}/coating", {"name": "X", "density": "1.3", "law": "bingham"})
    assert answer.status_code == 422
    assert "bingham coating needs yield_stress" in answer.text
    assert 'value="1.3"' in answer.text


def test_no_coating_chosen_says_so(person, visit: str):
    assert person.send(f"{visit}/checks/coating", {"coating": ""}).status_code == 404
    assert person.send(f"{visit}/checks/coating", {"coating": "none-such"}).status_code == 404


def test_a_refused_reading_comes_back_on_its_own_page(person, visit: str):
    answer = person.send(f"{visit}/checks", {"spray_pressure": "much", "note": "windy"})
    assert answer.status_code == 422
    assert "“much” is not a pressure" in answer.text
    assert "windy" in answer.text
    assert 'aria-invalid="true"' in answer.text


def test_readings_that_contradict_each_other_name_nobody_and_clear_nobody(person, visit: str):
    person.send(f"{visit}/checks/coating", {"coating": "epoxy-tank"})
    text = person.send(
        f"{visit}/checks",
        {"up_times": "0.5, 0.5, 0.5", "down_times": "1.46, 1.46, 1.46", "creep_up": "0",
         "creep_down": "0", "spray_pressure": "250", "stall_pressure": "274"},
    ).text  # fmt: skip
    assert "don&#39;t fit together" in text
    assert "Leave the wet end alone" not in text
    assert "likely, " not in re.sub("unlikely, ", "", text)


def test_a_gauge_over_the_rating_is_told_before_the_faults(person, visit: str):
    person.send(f"{visit}/checks/coating", {"coating": "epoxy-tank"})
    text = person.send(f"{visit}/checks", {"stall_pressure": "900"}).text
    answer = text.partition('id="found-h"')[2]
    assert -1 < answer.find("the weakest part") < answer.find('class="findings"')


def test_the_rail_says_what_is_done(person, visit: str):
    person.send(f"{visit}/complaint", {"said": "Slow"})
    text = person.get(f"{visit}/checks").text
    rail = text.partition('class="rail"')[2].partition("</ol>")[0]
    states = re.findall(r'class="state">([^<]+)', rail)
    assert states == ["done", "here", "to do", "to do", "to do", "to do", "to do"]


def test_what_a_diagnosis_takes_besides_readings_is_made_ready_meanwhile(
    person, visit: str, monkeypatch: pytest.MonkeyPatch
):
    asked: list[Visit] = []
    begun = Event()

    def ready(of: Visit) -> None:
        asked.append(of)
        begun.set()

    # a pool of its own: in the shared one, what failed in another test is not tried for a minute
    own = Background()
    monkeypatch.setattr("wetend.web.ready.BACKGROUND", own)
    forget("pumps made ready for readings")
    monkeypatch.setattr("wetend.web.checks.workflow.make_ready_for", ready)
    person.get(f"{visit}/checks")
    assert not asked  # nothing is known of what flows
    person.send(f"{visit}/checks/coating", {"coating": "epoxy-tank"})
    assert begun.wait(PATIENCE)
    assert asked[0].coating.key == "epoxy-tank"
    person.send(f"{visit}/checks", {"stall_pressure": "200"})
    told = len(asked)
    person.get(f"{visit}/checks")
    assert len(asked) == told  # it is there
    own.end(PATIENCE)


def test_what_is_believed_so_far_stands_at_the_top_and_the_next_check_before_the_reasons(
    person, visit: str
):
    person.send(f"{visit}/checks/coating", {"coating": "epoxy-tank"})
    assert "So far:" not in person.get(f"{visit}/checks").text
    text = person.send(f"{visit}/checks", {"up_times": "1.2, 1.2", "down_times": "0.8, 0.8"}).text
    assert -1 < text.find("So far:") < text.find('id="read-h"')
    assert -1 < text.find('id="next-check"') < text.find('class="findings"')


def _folds(text: str) -> list[str]:
    """The checks of the list, each as its fold."""
    return text.split('name="further"')[1:]


def test_every_check_carries_its_cautions_before_its_how_wherever_it_is_chosen(person, visit: str):
    """Before the first reading all are there to choose; after it, all but the best stand folded."""
    person.send(f"{visit}/checks/coating", {"coating": "epoxy-tank"})
    assert len(_folds(person.get(f"{visit}/checks").text)) == len(CHECKS)
    person.send(f"{visit}/checks", {"up_times": "1.2, 1.2", "down_times": "0.8, 0.8"})
    text = html.unescape(person.get(f"{visit}/checks").text)
    shown = [c for c in CHECKS if c.how in text]
    assert len(shown) > 12
    for check in shown:
        how = text.rfind(check.how)
        for caution in check.cautions:
            assert -1 < text.find(caution.text) < how, (check.key, caution.hazard)
    best = re.search(r'id="next-check"><h3>Next check: ([^<]+)', text)
    assert best
    assert all(best[1] not in fold for fold in _folds(text))


def test_no_hazard_is_told_twice_in_what_is_open_at_once(person, visit: str):
    """A fold is opened on purpose: it and what is not folded are screens of their own."""
    person.send(f"{visit}/checks/coating", {"coating": "epoxy-tank"})
    person.send(f"{visit}/checks", {"up_times": "1.2, 1.2", "down_times": "0.8, 0.8"})
    text = html.unescape(person.get(f"{visit}/checks").text)
    unfolded = re.sub(r"<details(?![^>]* open).*?</details>", "", text, flags=re.DOTALL)
    told = cautions_on(unfolded)
    assert told
    assert len(told) == len(set(told))
