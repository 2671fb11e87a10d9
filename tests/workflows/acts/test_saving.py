"""One act saved alone: what it leaves as it was, what it refuses, how it is taken back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from wetend.advice.strip.bag import tool_titles
from wetend.errors import BadInput, NotFound, NotSafe
from wetend.pump.make_safe import MakeSafe, all_done
from wetend.pump.measurements import BallMeasured, StackMeasured
from wetend.pump.proof_readings import ProofReadings
from wetend.pump.readings import CheckReadings, ToolBag
from wetend.workflows import checks, prove, rebuild, strip, zero
from wetend.workflows.acts.before import proposal_of
from wetend.workflows.acts.queue import acts_of
from wetend.workflows.acts.saving import save, skip, undo
from wetend.workflows.desk import Desk
from wetend.workflows.form_sent import EditConflict

from .conftest import filled

pytestmark = pytest.mark.usefixtures("midday")
Do = Callable[..., tuple[str, ...]]


def test_only_the_acts_own_fields_are_written(desk: Desk, visit: str, do: Do):
    was = CheckReadings(stall_pressure=2.6e7, wet_cup="clean")
    checks.save(desk, visit, was)
    checks.save(desk, visit, CheckReadings(air_seen="yes"))  # another device, since
    do("checks/gauge-spray", CheckReadings(spray_pressure=1.9e7), was=was)
    now = desk.visit(visit).readings
    assert now is not None
    assert now.spray_pressure == 1.9e7
    assert (now.stall_pressure, now.wet_cup, now.air_seen) == (2.6e7, "clean", "yes")
    last = desk.visit(visit).entries[-1]
    assert set(CheckReadings.model_validate_json(last.payload).model_fields_set) == {
        "spray_pressure"
    }


def test_two_people_at_one_field_are_asked_and_lose_nothing(desk: Desk, visit: str, do: Do):
    checks.save(replace(desk, who="S. Other (invented)"), visit, CheckReadings(spray_pressure=2e7))
    with pytest.raises(EditConflict, match=r"S\. Other"):
        do("checks/gauge-spray", CheckReadings(spray_pressure=1.9e7))
    readings = desk.visit(visit).readings
    assert readings is not None
    assert readings.spray_pressure == 2e7


def test_two_devices_enter_heights_and_shims_of_one_stack(desk: Desk, visit: str, do: Do):
    rings = {p.name: p.height + 1e-5 for p in desk.visit(visit).pump.stack.parts}
    do("rebuild/heights", StackMeasured(heights=rings))
    do("rebuild/tin", StackMeasured(tin=(5e-4, 5e-4), lever=0.5))  # opened before the heights were
    stack = desk.visit(visit).stack
    assert stack is not None
    assert (stack.heights, stack.tin, stack.lever) == (rings, (5e-4, 5e-4), 0.5)


def test_sent_twice_it_is_saved_once(desk: Desk, visit: str):
    at = filled(desk, None)
    act = acts_of(desk, visit).act("checks", "gauge-spray")
    said = CheckReadings(spray_pressure=1.9e7)
    assert len(save(at, visit, act, said)) == 1
    count = len(desk.visit(visit).entries)
    save(replace(at, sent=replace(at.sent)), visit, act, said)
    assert len(desk.visit(visit).entries) == count


def test_an_act_sent_empty_says_so(desk: Desk, visit: str, do: Do):
    with pytest.raises(BadInput, match="say that it can't be done"):
        do("checks/gauge-spray", CheckReadings())
    assert desk.visit(visit).readings is None


def test_no_act_that_needs_zero_is_saved_without_it(desk: Desk, visit: str, do: Do):
    rebuild.save(desk, visit, StackMeasured(tin=(5e-4,)))
    said = ProofReadings(guards="yes")
    with pytest.raises(NotSafe, match="make-safe"):
        do("prove/guards", said)
    zero.save_list(desk, visit, all_done("air"))
    do("prove/guards", said)
    proof = desk.visit(visit).proof
    assert proof is not None
    assert proof.guards == "yes"


def test_zero_that_lapses_stops_a_look_but_not_a_reading_begun_under_it(
    desk: Desk, visit: str, do: Do
):
    rebuild.save(desk, visit, StackMeasured(tin=(5e-4,)))
    zero.save_list(desk, visit, all_done("air"))
    stood = zero.zero_of(desk.visit(visit), desk.who).proven
    assert stood is not None
    checks.save(desk, visit, CheckReadings(stall_pressure=2.6e7))
    with pytest.raises(NotSafe):
        do("prove/guards", ProofReadings(guards="yes"), under=stood.id)
    caught = ProofReadings(bucket_volume=0.01, bucket_cycles=40)
    with pytest.raises(NotSafe):
        do("prove/bucket", caught)
    other = replace(desk, who="S. Other (invented)")
    with pytest.raises(NotSafe):
        do("prove/bucket", caught, by=other, under=stood.id)
    do("prove/bucket", caught, under=stood.id)
    proof = desk.visit(visit).proof
    assert proof is not None
    assert proof.bucket_cycles == 40


def test_undo_takes_back_that_entry_alone(desk: Desk, visit: str, do: Do):
    do("checks/wet-cup", CheckReadings(wet_cup="clean"))
    made = do("checks/gauge-spray", CheckReadings(spray_pressure=1.9e7))
    act = acts_of(desk, visit).act("checks", "gauge-spray")
    undo(desk, visit, act, made)
    undo(desk, visit, act, made)
    readings = desk.visit(visit).readings
    assert readings is not None
    assert (readings.wet_cup, readings.spray_pressure) == ("clean", None)
    with pytest.raises(NotFound):
        undo(desk, visit, act, ("0" * 32,))


def test_undo_of_a_line_unticks_that_line(desk: Desk, visit: str, do: Do):
    do("make-safe/bonded", MakeSafe(bonded=True))
    made = do("make-safe/protected", MakeSafe(protected=True))
    undo(desk, visit, acts_of(desk, visit).act("make-safe", "protected"), made)
    begun = zero.gate_of(desk, desk.visit(visit)).begun
    assert begun.bonded
    assert not begun.protected


def test_undo_of_what_could_not_be_done_puts_it_back_in_the_queue(desk: Desk, visit: str):
    act = acts_of(desk, visit).act("checks", "strokes")
    made = skip(desk, visit, act, "it does not run")
    assert len(made) == 2
    undo(desk, visit, act, [e.id for e in made])
    assert acts_of(desk, visit).act("checks", "strokes").left
    with pytest.raises(BadInput, match="why"):
        skip(desk, visit, act, "  ")


def test_a_check_done_after_all_is_no_longer_said_to_be_impossible(desk: Desk, visit: str, do: Do):
    act = acts_of(desk, visit).act("checks", "gauge-spray")
    skip(desk, visit, act, "no gauge")
    now = desk.visit(visit).readings
    do("checks/gauge-spray", CheckReadings(spray_pressure=1.9e7), was=now)
    after = desk.visit(visit).readings
    assert after is not None
    assert after.could_not == ()


def test_a_step_is_marked_on_its_own_page_and_left_out_by_nobody(desk: Desk, visit: str):
    strip.save_bag(desk, visit, ToolBag(tools=tuple(tool_titles()), vice=True))
    step = next(a for a in acts_of(desk, visit).acts if a.path)
    with pytest.raises(BadInput, match="own page"):
        save(desk, visit, replace(step, zero=False), BallMeasured())
    with pytest.raises(BadInput, match="planned anew"):
        skip(desk, visit, step, "no spanner")


def test_a_proof_from_before_a_new_strip_counts_for_no_act(desk: Desk, visit: str, do: Do):
    strip.save_bag(desk, visit, ToolBag(tools=tuple(tool_titles()), vice=True))
    prove.save(desk, visit, ProofReadings(wet_cup="clean", trigger_lock="yes"))
    assert acts_of(desk, visit).act("prove", "wet-cup").done
    zero.save_list(desk, visit, all_done("air"))
    first = next(a for a in acts_of(desk, visit).acts if a.path)
    strip.mark(desk, visit, done=(first.key,))
    assert not acts_of(desk, visit).act("prove", "wet-cup").done
    do("prove/trigger-lock", ProofReadings(trigger_lock="yes"))
    assert not acts_of(desk, visit).act("prove", "wet-cup").done
    assert acts_of(desk, visit).act("prove", "trigger-lock").done


def test_sizes_and_tools_of_before_are_proposed(desk: Desk, visit: str):
    seen = desk.visit(visit)
    acts = acts_of(desk, visit)
    size = proposal_of(desk, seen, acts.act("rebuild", "tin"))
    assert isinstance(size, StackMeasured)
    assert size.heights == {p.name: p.height for p in seen.pump.stack.parts}
    bag = proposal_of(desk, seen, acts.act("strip", "bag"))
    assert isinstance(bag, ToolBag)
    assert bag.tools == ()
