"""Rebuild plans: the strip's rules turned round, the rebuild's own rules, words and torques."""

from __future__ import annotations

import itertools
import math
import random
from typing import Any

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.reasons import Verdict
from wetend.advice.rebuild.fit import fit_stack
from wetend.advice.rebuild.jobs import jobs_of
from wetend.advice.rebuild.plan import Found, RebuildPlan, plan_rebuild
from wetend.advice.strip.costs import END_OF
from wetend.advice.strip.plan import plan_strip
from wetend.advice.strip.tools import TOOLS
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.pump.readings import ToolBag
from wetend.pump.strip_graph import Operation, StripGraph, must_precede
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

ALL = ToolBag(tools=tuple(t for t in TOOLS if t != "vice"), vice=True)
PARTS = ("body", "foot-seat", "rod", "outlet-filter", "cylinder", "gland-nut", "foot-housing")
GIVES = ("foot-seat", "foot-ball", "cage", "cylinder", "rod", "foot-housing", "static-packings")


def places(plan: RebuildPlan) -> dict[str, int]:
    return {s.key: s.number for s in plan.steps}


def random_pump(rng: random.Random) -> Pump:
    operations = [
        Operation.model_validate({
            "key": f"o{n}", "title": f"o{n}", "part": rng.choice(PARTS),
            "time": rng.randint(5, 60),
            "after": [f"o{j}" for j in range(n) if rng.random() < 0.2],
            "swings_near": rng.choice([[], [], ["rod"]]),
            "unshields": rng.choice([[], [], ["rod"]]),
            "needs_held": rng.random() < 0.25, "ends_hold": rng.random() < 0.2,
            "gives": rng.sample(GIVES, rng.choice([0, 0, 1, 2])),
        })
        for n in range(rng.randint(1, 9))
    ]  # fmt: skip
    try:
        graph = StripGraph(operations=tuple(operations))
    except ValueError:  # a ring of waiting operations: not a pump
        return random_pump(rng)
    return demo_pump("quay-air").model_copy(update={"strip": graph})


@costly(37)
@given(st.randoms(use_true_random=False))
def test_the_strips_rules_hold_turned_round_on_any_pump(rng: random.Random) -> None:
    pump = random_pump(rng)
    plan = plan_rebuild(pump, ALL)
    place = places(plan)
    for later, firsts in must_precede(pump.strip.operations).items():
        for first in firsts:
            assert place[later] < place[first]
    # everything off goes back once, and the rebuild's own steps come with it
    assert {o.key for o in pump.strip.operations} <= set(place)
    assert place["clean"] == 1
    assert place["look-over"] == len(plan.steps)


@costly(37)
@given(st.randoms(use_true_random=False))
def test_a_shield_is_back_before_any_tool_swings_near_what_it_shields(rng: random.Random) -> None:
    pump = random_pump(rng)
    bare = {s for o in pump.strip.operations for s in o.unshields}
    by_key = {o.key: o for o in pump.strip.operations}
    for step in plan_rebuild(pump, ALL).steps:
        undone = by_key.get(step.key)
        if undone is not None:
            bare -= set(undone.unshields)
            assert not bare & set(undone.swings_near)


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_demo_pumps_go_back_as_a_technician_would(key: str) -> None:
    # order of work: common practice, no source
    place = places(plan_rebuild(demo_pump(key), ALL))
    closing = {"quay-air": "piston-open", "yard-hydraulic": "piston-nut-off"}[key]
    housing = {"quay-air": "foot-housing-off", "yard-hydraulic": "foot-housing-down"}[key]
    tight = {"quay-air": "foot-crack", "yard-hydraulic": "clamp-ring-crack"}[key]
    order = [
        ("seat-out", "cage-out"), ("cage-out", "solvent-foot"), ("solvent-foot", housing),
        (housing, tight), ("cylinder-off", housing), ("wet-end-off", tight),
        ("piston-valve-out", "solvent-piston"), ("solvent-piston", closing),
        ("moving-packings-off", "cylinder-off"), ("rod-out", "slide"), ("cylinder-off", "slide"),
        ("slide", "wet-end-off"), ("gland-nut-off", "slacken-gland"),
        ("wet-end-off", "slacken-gland"), ("slacken-gland", "wet-cup"), ("filter-out", "hose-off"),
    ]  # fmt: skip
    assert [pair for pair in order if not place[pair[0]] < place[pair[1]]] == []


def test_it_is_not_simply_the_strip_turned_round() -> None:
    pump = demo_pump("quay-air")
    strip = [s.operation.key for s in plan_strip(pump, ALL).steps]
    rebuild = plan_rebuild(pump, ALL)
    assert [s.key for s in rebuild.steps if s.key in strip] != strip[::-1]
    assert {"clean", "solvent-foot", "solvent-piston", "slide", "wet-cup", "look-over"} == {
        s.key for s in rebuild.steps
    } - set(strip)


def test_only_what_came_off_goes_back() -> None:
    pump = demo_pump("quay-air")
    plan = plan_rebuild(pump, ALL, done=("suction-off", "foot-crack"))
    assert [s.key for s in plan.steps] == ["clean", "foot-crack", "suction-off", "look-over"]


def test_the_steps_tell_shims_lips_torque_and_pull() -> None:
    pump = demo_pump("quay-air")
    fit = fit_stack(pump, StackMeasured(tin=(0.5e-3, 0.25e-3, 0.1e-3), lever=0.5), draws=2000)
    steps = {s.key: s for s in plan_rebuild(pump, ALL, found=Found(fit, 0.5)).steps}
    cage, tight = steps["cage-out"], steps["foot-crack"]
    assert cage.picture == "stack"
    for shim in fit.shims:
        assert f"{shim * 1e3:.2f} mm" in " ".join(cage.notes)
    assert "on top of the cage" in " ".join(cage.notes)
    assert tight.torque == fit.torque
    assert tight.pull == pytest.approx(fit.torque / 0.5)
    assert fit.clock in tight.check
    assert steps["piston-open"].torque == 90.0
    assert "lips upwards" in " ".join(steps["moving-packings-off"].notes)
    assert "lips downwards" in " ".join(steps["static-packings-out"].notes)
    assert "60 degrees" in " ".join(steps["slacken-gland"].notes)


def test_inspection_decides_what_is_new_and_which_face_meets_the_ball() -> None:
    verdicts = {"rod": Verdict.REPLACE, "foot-seat": Verdict.TURN, "cylinder": Verdict.KEEP}
    plan = plan_rebuild(demo_pump("quay-air"), ALL, found=Found(verdicts=verdicts))
    steps = {s.key: s for s in plan.steps}
    assert plan.fresh == ("piston rod", "foot-valve ball")
    assert any("New with it: foot-valve ball" in n for n in steps["seat-out"].notes)
    assert any("New: piston rod" in n for n in steps["rod-out"].notes)
    assert any("fresh face" in n for n in steps["seat-out"].notes)
    assert not any("cylinder" in n for n in steps["cylinder-off"].notes)


def _notes(pump: Pump, key: str, **found: Any) -> str:
    plan = plan_rebuild(pump, ALL, found=Found(**found))
    return " ".join(next(s.notes for s in plan.steps if s.key == key))


def _with_static(**changed: Any) -> Pump:
    pump = demo_pump("quay-air")
    packings = pump.static_packings.model_copy(update=changed)
    return pump.model_copy(update={"static_packings": packings})


def test_leather_is_put_to_soak_first_and_rings_go_in_in_their_order() -> None:
    """Leather soaked, order of mixed rings and adapters, joints staggered: common practice, no
    source."""
    pump, key = demo_pump("quay-air"), "static-packings-out"
    clean, packings = _notes(pump, "clean"), _notes(pump, key)
    assert "Start soaking the new static packings now." in clean
    assert "1 h or overnight (common practice, no source)" in clean
    assert "Leather rings are soaked in light oil" in packings
    assert "the wedge in the open lips, below; the hollow one at their backs, on top" in packings
    assert "joints staggered" in packings
    own = _with_static(
        material="leather and polyethylene", order="wedge, leather, polyethylene, hollow",
        split="yes", soak_liquid="throat-seal liquid", soak_time=7200.0,
    )  # fmt: skip
    assert "From below: wedge, leather, polyethylene, hollow." in _notes(own, key)
    assert "Split rings: joints staggered" in _notes(own, key)
    assert "soaked in throat-seal liquid before fitting, 2 h" in _notes(own, key)


def test_rings_without_leather_are_not_soaked_and_whole_ones_have_no_joints() -> None:
    plain = _with_static(material="PTFE", split="no")
    told = _notes(plain, "static-packings-out")
    assert "soak" not in told
    assert "staggered" not in told
    assert "Start soaking the new static" not in _notes(plain, "clean")
    foot = ALL.model_copy(update={"goal": "foot-valve"})
    steps = plan_rebuild(demo_pump("quay-air"), foot).steps
    assert not any("soak" in n for s in steps for n in s.notes)


def test_the_gland_is_set_by_hand_and_no_torque_is_told_for_it() -> None:
    steps = plan_rebuild(demo_pump("quay-air"), ALL, found=Found(lever=0.5)).steps
    gland = next(s for s in steps if s.key == "slacken-gland")
    assert gland.torque is None
    assert gland.pull is None
    assert "hand-tight on the V-rings, then 1 flat" in " ".join(gland.notes)


def test_the_wet_cup_is_filled_with_what_the_coating_bears() -> None:
    step = next(s for s in plan_rebuild(demo_pump("quay-air"), ALL).steps if s.key == "wet-cup")
    assert "The liquid that the coating's maker allows" in step.how
    assert "never plain solvent" in " ".join(step.notes)
    known = _notes(demo_pump("quay-air"), "wet-cup", coating=demo_coatings()[2])
    assert "plain solvent evaporates and burns" in known


def test_the_cage_says_both_sides_of_a_small_lift() -> None:
    assert "closes the valve sooner but costs suction" in _notes(demo_pump("quay-air"), "cage-out")


def test_cautions_stand_at_the_steps_that_need_them() -> None:
    plan = plan_rebuild(demo_pump("yard-hydraulic"), ALL)
    said = {s.key: " ".join(c.text for c in s.cautions) for s in plan.steps}
    assert "zero is proven" in said[plan.steps[0].key]
    assert "metal bin with a lid" in said[plan.steps[0].key]
    assert "feet clear" in said["wet-end-off"]
    assert "circlip" in said["cage-out"]
    assert "safety data sheet" in said["solvent-foot"]
    assert "hands on the timber only" in said["slide"]
    assert "lowest pressure" in said["look-over"]
    assert "levered spanner" in said["clamp-ring-crack"]


def test_what_only_gets_a_part_out_is_not_asked_for_to_put_it_in() -> None:
    jobs = {j.operation.key: j for j in jobs_of(demo_pump("quay-air").strip.operations)}
    named = {c.tool for n in jobs["seat-out"].operation.needs for c in n.any_of}
    assert named == {"timber-block"}


def test_without_a_tool_it_says_which_step_lacks_it() -> None:
    plan = plan_rebuild(demo_pump("quay-air"), ToolBag())
    assert not plan.possible
    assert any("Set the gland" in w and "c-spanner" in w for w in plan.why_not)


def test_a_key_of_the_pumps_own_may_be_called_as_a_step_of_the_rebuild() -> None:
    own = Operation.model_validate(
        {"key": "clean", "title": "x", "part": "cylinder", "time": 9.0, "gives": ["cylinder"]}
    )
    pump = demo_pump("quay-air").model_copy(update={"strip": StripGraph(operations=(own,))})
    keys = [s.key for s in plan_rebuild(pump, ALL).steps]
    assert keys == ["clean-2", "clean", "slide", "look-over"]


def test_the_order_takes_the_least_time_of_all_orders() -> None:
    """Every order that keeps the rules, added up step by step, on small pumps."""
    rng = random.Random(7)
    for _ in range(25):
        pump = random_pump(rng)
        kept = pump.strip.operations[:3]
        keys = {o.key for o in kept}
        graph = StripGraph(
            operations=tuple(o.model_copy(update={"after": tuple(a for a in o.after if a in keys)})
                             for o in kept)
        )  # fmt: skip
        pump = pump.model_copy(update={"strip": graph})
        jobs = {j.operation.key: j.operation for j in jobs_of(graph.operations)}
        inner = [k for k in jobs if k not in ("clean", "look-over")]
        best = math.inf
        for middle in itertools.permutations(inner):
            order = ("clean", *middle, "look-over")
            if any(order.index(a) > order.index(k) for k in order for a in jobs[k].after):
                continue
            time, end = 0.0, None
            for key in order:
                here = END_OF[jobs[key].part]
                time += jobs[key].time + (graph.end_change if end and end != here else 0.0)
                end = here
            best = min(best, time)
        assert plan_rebuild(pump, ALL).expected == pytest.approx(best)
