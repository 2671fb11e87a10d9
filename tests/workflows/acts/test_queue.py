"""Which act comes next, and what keeps it from coming."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from wetend.advice.strip.bag import tool_titles
from wetend.errors import NotFound
from wetend.pump.make_safe import MakeSafe, all_done
from wetend.pump.readings import CheckReadings, Complaint, SignOff, ToolBag
from wetend.workflows import checks, complaint, handover, strip, zero
from wetend.workflows.acts.act import ActsView
from wetend.workflows.acts.queue import acts_of, next_act
from wetend.workflows.acts.saving import skip
from wetend.workflows.desk import Desk

pytestmark = pytest.mark.usefixtures("midday")
FOOT = ToolBag(tools=tuple(tool_titles()), vice=True, goal="foot-valve")
FOOT_LEAKS = CheckReadings(
    up_times=(1.29, 1.24, 1.28, 1.27), down_times=(0.8, 0.82, 0.79, 0.81), creep_up=0.0,
    creep_down=0.0108, spray_pressure=1.9e7, stall_pressure=2.7e7, wet_cup="clean",
    outside_looked="dry",
)  # fmt: skip
Do = Callable[..., tuple[str, ...]]


def _next(desk: Desk, visit: str) -> str:
    act = next_act(desk, visit)
    return act.name if act else ""


def _opened(desk: Desk, visit: str) -> None:
    """Heard, read and decided: the foot valve is to be opened."""
    complaint.save_complaint(desk, visit, Complaint(seen=("down-stroke quick",)))
    checks.save(desk, visit, FOOT_LEAKS)
    strip.save_bag(desk, visit, FOOT)
    while due := [a for a in acts_of(desk, visit).left if a.stage == "checks" and a.due]:
        for act in due:  # what can't be done makes another worth its minutes
            skip(desk, visit, act, "not here")


def test_a_visit_begins_with_the_crew_then_strokes_then_what_tells_most(desk: Desk, visit: str):
    assert _next(desk, visit) == "complaint/crew"
    complaint.save_complaint(desk, visit, Complaint(seen=("down-stroke quick",)))
    assert _next(desk, visit) == "checks/strokes"
    checks.save(desk, visit, CheckReadings(up_times=(1.29, 1.24), down_times=(0.8, 0.82)))
    seen, diagnosis = acts_of(desk, visit), checks.view(desk, visit).diagnosis
    assert diagnosis is not None
    assert diagnosis.best is not None
    assert seen.next is not None
    best = {c.key for c in diagnosis.checks if c.worth}
    assert seen.next.key in best or best & {"look", "watch"}
    assert [f.fault for f in seen.believed] == [f.fault for f in diagnosis.findings[:2]]


def test_a_reading_changes_what_comes_next(desk: Desk, visit: str):
    complaint.save_complaint(desk, visit, Complaint(seen=("down-stroke quick",)))
    checks.save(desk, visit, CheckReadings(up_times=(1.29, 1.24), down_times=(0.8, 0.82)))
    before = [act.name for act in acts_of(desk, visit).left if act.due]
    checks.save(desk, visit, FOOT_LEAKS)
    assert [act.name for act in acts_of(desk, visit).left if act.due] != before


@pytest.mark.parametrize("desk", ["quay-air", "yard-hydraulic"], indirect=True)
def test_before_a_spanner_the_list_comes_line_by_line(desk: Desk, visit: str, do: Do):
    _opened(desk, visit)
    whole = all_done(desk.visit(visit).pump.drive.kind)
    passed = []
    for _ in range(30):
        act = next_act(desk, visit)
        assert act is not None
        if act.stage != "make-safe":
            break
        assert all(a.stage != "make-safe" or a.cautions == act.cautions or a.key != act.key
                   for a in acts_of(desk, visit).acts)  # fmt: skip
        passed.append(act.key)
        line = act.fields[0]
        do(act.name, MakeSafe.model_validate({line: getattr(whole, line)}))
    assert act.path.startswith("strip/steps#step-")
    assert zero.zero_of(desk.visit(visit), desk.who).stands
    assert len(passed) == len(set(passed)) >= 10


def test_pressure_in_the_middle_of_the_list_begins_it_anew(desk: Desk, visit: str, do: Do):
    _opened(desk, visit)
    do("make-safe/bonded", MakeSafe(bonded=True))
    assert _next(desk, visit) == "make-safe/protected"
    checks.save(desk, visit, CheckReadings(stall_pressure=2.6e7))
    assert _next(desk, visit) == "make-safe/bonded"


def test_zero_of_one_person_opens_nothing_for_another(desk: Desk, visit: str):
    _opened(desk, visit)
    zero.save_list(desk, visit, all_done("air"))
    assert _next(desk, visit).startswith("strip/")
    other = replace(desk, who="S. Other (invented)")
    seen = acts_of(other, visit)
    assert seen.next is not None
    assert seen.next.name == "make-safe/bonded"
    assert all(seen.shut(a) for a in seen.acts if a.path)


def test_a_line_that_cannot_be_done_keeps_the_gate_shut(desk: Desk, visit: str):
    _opened(desk, visit)
    seen = acts_of(desk, visit)
    for act in [a for a in seen.acts if a.stage == "make-safe"]:
        skip(desk, visit, act, "no key to the isolator")
    after = acts_of(desk, visit)
    assert after.next is not None
    assert after.next.stage == "make-safe"
    assert after.next.cannot == "no key to the isolator"


def test_a_blockage_brings_its_own_act_and_the_list_waits_for_it(desk: Desk, visit: str, do: Do):
    _opened(desk, visit)
    whole = all_done("air").model_copy(update={"blockage": "suspected"})
    zero.save_list(desk, visit, whole)
    assert _next(desk, visit) == "make-safe/blockage" or _next(desk, visit) == "make-safe/clearing"
    assert "make-safe/clearing" in [a.name for a in acts_of(desk, visit).left]
    steps = ("trigger-locked", "guard-off", "hose-loosened", "waited")
    do("make-safe/clearing", MakeSafe(clearing=steps))
    do("make-safe/blockage", MakeSafe(blockage="cleared"))
    assert _next(desk, visit).startswith("strip/")


def test_a_gauge_off_its_stop_is_asked_for_again_with_the_reason(desk: Desk, visit: str):
    _opened(desk, visit)
    off = all_done("air").model_copy(update={"needle": "off its stop"})
    zero.save_list(desk, visit, off)
    act = next_act(desk, visit)
    assert act is not None
    assert act.key == "needle"
    assert "off its stop" in act.why


def test_what_cannot_be_done_leaves_the_queue_and_stays_in_the_list(desk: Desk, visit: str):
    complaint.save_complaint(desk, visit, Complaint(seen=("down-stroke quick",)))
    act = acts_of(desk, visit).act("checks", "strokes")
    skip(desk, visit, act, "it does not run")
    seen = acts_of(desk, visit)
    assert seen.next is not None
    assert seen.next.key != "strokes"
    kept = seen.act("checks", "strokes")
    assert kept.cannot == "it does not run"
    assert kept in seen.over
    assert desk.visit(visit).readings == CheckReadings(could_not=("strokes",))
    checks.save(desk, visit, CheckReadings(up_times=(1.2,), down_times=(1.0,)))
    assert acts_of(desk, visit).act("checks", "strokes").done


def test_parts_and_sizes_come_up_by_what_the_strip_lays_open(desk: Desk, visit: str):
    def due(seen: ActsView, stage: str) -> set[str]:
        return {a.key for a in seen.acts if a.stage == stage and a.due and not a.path}

    _opened(desk, visit)
    seen = acts_of(desk, visit)
    assert due(seen, "inspect") == {"foot-ball", "foot-seat", "seal-land"}
    strip.save_bag(desk, visit, FOOT.model_copy(update={"goal": "static-packings"}))
    assert "static-packings" in due(acts_of(desk, visit), "inspect")


def test_a_signed_visit_has_no_next_act_and_a_strange_act_is_named(desk: Desk, visit: str):
    handover.sign_off(desk, visit, SignOff(technician="R. Okafor (invented)"))
    assert next_act(desk, visit) is None
    with pytest.raises(NotFound, match="no such act"):
        acts_of(desk, visit).act("prove", "song")
