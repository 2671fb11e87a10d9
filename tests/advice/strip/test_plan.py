"""Strip plans: least expected time, every rule kept, the demo pumps as a technician reads them."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from wetend.advice.reasons import Grade
from wetend.advice.strip.bag import check_bag, tool_titles
from wetend.advice.strip.plan import StripPlan, plan_strip
from wetend.advice.strip.tools import STAND_INS
from wetend.advice.strip.ways import SPOILT
from wetend.errors import BadInput, UnknownName
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.pump.site import SiteFacts
from wetend.pump.strip_graph import Operation, StripGraph
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

TAILGATE = (
    "c-spanner", "pipe-wrench", "second-pipe-wrench", "adjustable", "hammer", "soft-drift", "tube",
    "open-spanners", "screwdriver", "hexagon-keys",
)  # fmt: skip
ENDS = {"body": "gland", "foot-seat": "foot", "rod": "piston", "outlet-filter": "outlet"}
TOOLS = ("saw", "bar", "clamp", "jig")  # none has a stand-in, so a test can count the ways itself


def pump_with(*operations: Operation, **rest: float) -> Pump:
    graph = StripGraph(operations=operations, **rest)
    return demo_pump("quay-air").model_copy(update={"strip": graph})


def operation(key: str, **rest: object) -> Operation:
    return Operation.model_validate(
        {"key": key, "title": key, "part": "body", "time": 60.0, **rest}
    )


def need(*tools: str, **rest: float) -> dict[str, object]:
    return {"any_of": [{"tool": tool, **rest} for tool in tools]}


# --- the least expected time, by trying everything -------------------------------------------


def random_operations(rng: random.Random, size: int) -> list[dict[str, object]]:
    made = []
    for number in range(size):
        choices = [
            {"any_of": [
                {"tool": tool, "slower": rng.choice([1, 1, 1.5, 2]),
                 "risk": rng.choice([0, 0, 0.01])}
                for tool in rng.sample(TOOLS, rng.randint(1, 2))
            ]}
            for _ in range(rng.choice([0, 1, 1, 2]))
        ]  # fmt: skip
        made.append({
            "key": f"o{number}", "title": f"o{number}", "part": rng.choice(list(ENDS)),
            "time": rng.randint(5, 60), "needs": choices,
            "after": [f"o{j}" for j in range(number) if rng.random() < 0.2],
            "pose": rng.choice([None, None, "upright", "lying"]),
            "swings_near": rng.choice([[], [], ["rod"]]),
            "unshields": rng.choice([[], [], ["rod"]]),
            "needs_held": rng.random() < 0.25,
            "ends_hold": rng.random() < 0.2,
            "leads": rng.random() < 0.1,
        })  # fmt: skip
    rng.shuffle(made)
    return made


def keeps_rules(order: tuple[Operation, ...]) -> bool:
    for place, later in enumerate(order):
        before, after = order[:place], order[place + 1 :]
        if set(later.after) - {o.key for o in before}:
            return False
        if any(set(later.unshields) & set(o.swings_near) for o in after):
            return False
        if later.ends_hold and any(o.needs_held for o in after):
            return False
        if not later.leads and any(o.leads for o in after):
            return False
    return True


def ways(one: Operation) -> list[tuple[frozenset[str], float]]:
    """Tools and expected time of every way, with no thought of which is better."""
    found = []
    for choice in itertools.product(*(n.any_of for n in one.needs)):
        tools = frozenset(c.tool for c in choice)
        if len(tools) == len(choice):
            slower = math.prod(c.slower for c in choice)
            risk = 1 - math.prod(1 - c.risk for c in choice)
            found.append((tools, one.time * slower + risk * SPOILT))
    return found


def least_time(graph: StripGraph) -> float:
    """Every order and every way, added up step by step."""
    best = math.inf
    for order in itertools.permutations(graph.operations):
        if not keeps_rules(order):
            continue
        for chosen in itertools.product(*(ways(o) for o in order)):
            time, hand, pose, end = 0.0, frozenset[str](), "upright", None
            for one, (tools, cost) in zip(order, chosen, strict=True):
                time += cost + graph.tool_change * len(tools - hand)
                hand = tools or hand
                if one.pose and one.pose != pose:
                    time, pose = time + graph.pose_change, one.pose
                if end and end != ENDS[one.part]:
                    time += graph.end_change
                end = ENDS[one.part]
            best = min(best, time)
    return best


def test_plan_takes_the_least_expected_time_on_150_random_pumps() -> None:
    rng = random.Random(2024)
    possible = 0
    while possible < 150:
        try:
            graph = StripGraph.model_validate({
                "operations": random_operations(rng, rng.randint(2, 5)),
                "tool_change": rng.choice([0, 10, 30]), "pose_change": rng.choice([0, 20, 60]),
                "end_change": rng.choice([0, 5]),
            })  # fmt: skip
        except ValidationError:  # waits for itself
            continue
        pump = demo_pump("quay-air").model_copy(update={"strip": graph})
        plan = plan_strip(pump, ToolBag(tools=TOOLS))
        best = least_time(graph)
        assert plan.possible == (best < math.inf)
        if plan.possible:
            possible += 1
            expected = plan.time + sum(s.risk for s in plan.steps) * SPOILT
            assert expected == pytest.approx(best, rel=1e-12)
            assert keeps_rules(tuple(s.operation for s in plan.steps))


def test_operations_without_rules_are_planned_and_said_not_to_be_proven() -> None:
    rng = random.Random(5)
    tools = tuple(f"tool-{i}" for i in range(12))
    loose = [
        operation(f"o{i}", time=rng.randint(5, 60), part=rng.choice(list(ENDS)),
                  needs=[need(*rng.sample(tools[:6], 2)), need(*rng.sample(tools[6:], 2))])
        for i in range(24)
    ]  # fmt: skip
    plan = plan_strip(pump_with(*loose), ToolBag(tools=tools))
    assert plan.possible
    assert len(plan.steps) == 24
    assert "at most" in plan.proof


# --- every rule, whatever the pump -------------------------------------------------------------


@st.composite
def graphs(draw: st.DrawFn) -> StripGraph | None:
    seed = draw(st.integers(0, 2**32))
    size = draw(st.integers(1, 12))
    try:
        return StripGraph.model_validate(
            {"operations": random_operations(random.Random(seed), size)}
        )
    except ValidationError:
        return None


@costly(37)
@given(graph=graphs(), tools=st.sets(st.sampled_from(TOOLS)), vice=st.booleans())
def test_no_plan_breaks_a_rule(graph: StripGraph | None, tools: set[str], vice: bool) -> None:
    if graph is None:
        return
    pump = demo_pump("quay-air").model_copy(update={"strip": graph})
    plan = plan_strip(pump, ToolBag(tools=tuple(tools), vice=vice))
    if not plan.possible:
        assert plan.why_not
        assert plan.steps == ()
        return
    order = tuple(s.operation for s in plan.steps)
    assert keeps_rules(order)
    assert sorted(o.key for o in order) == sorted(o.key for o in graph.operations)
    assert plan.time == pytest.approx(sum(s.time for s in plan.steps))
    assert 0 <= plan.risk <= 1
    for step in plan.steps:
        assert len(step.tools) == len(step.operation.needs)
        if step.operation.swings_near and any(o.unshields for o in order):
            assert "chromed rod" in step.shielded


@costly(10)
@given(
    key=st.sampled_from(["quay-air", "yard-hydraulic"]),
    goal=st.sampled_from(["foot-valve", "piston", "static-packings", "whole"]),
    tools=st.sets(st.sampled_from(sorted(tool_titles()))),
    vice=st.booleans(),
)
def test_demo_pumps_with_any_bag(key: str, goal: str, tools: set[str], vice: bool) -> None:
    plan = plan_strip(demo_pump(key), ToolBag(tools=tuple(tools), vice=vice, goal=goal))
    assert plan.possible == (not plan.why_not)
    assert keeps_rules(tuple(s.operation for s in plan.steps)) or not plan.possible


# --- tools, stand-ins, vice --------------------------------------------------------------------


def test_the_right_tool_is_taken_when_it_is_there() -> None:
    pump = pump_with(operation("turn", needs=[need("c-spanner")]))
    with_it = plan_strip(pump, ToolBag(tools=("c-spanner", "pipe-wrench")))
    assert with_it.steps[0].tools == ("C-spanner",)
    assert with_it.steps[0].stand_ins == ()
    assert with_it.risk == 0


def test_a_stand_in_costs_time_and_risk_and_says_so() -> None:
    pump = pump_with(operation("turn", needs=[need("c-spanner")]))
    plan = plan_strip(pump, ToolBag(tools=("pipe-wrench",)))
    step = plan.steps[0]
    assert step.tools == ("Pipe wrench in place of the c-spanner",)
    assert step.time > 60 + 15
    assert step.risk > 0
    assert "chance of damaging a part" in step.stand_ins[0]


def test_timber_is_always_there_and_needs_no_fetching() -> None:
    pump = pump_with(operation("tap", needs=[need("timber-block")]))
    plan = plan_strip(pump, ToolBag())
    assert plan.possible
    assert plan.time == 60


def test_what_is_missing_is_named_for_each_operation() -> None:
    pump = pump_with(
        operation("turn", needs=[need("hexagon-keys")]),
        operation("draw", needs=[need("torque-wrench")]),
    )
    plan = plan_strip(pump, ToolBag())
    assert not plan.possible
    assert plan.why_not == (
        "turn: needs hexagon keys.",
        "draw: needs torque wrench.",
    )


def test_two_needs_want_two_tools() -> None:
    pump = pump_with(operation("turn", needs=[need("adjustable"), need("adjustable")]))
    assert not plan_strip(pump, ToolBag(tools=("adjustable",))).possible
    assert "at once" in plan_strip(pump, ToolBag(tools=("adjustable",))).why_not[0]
    assert plan_strip(pump, ToolBag(tools=("adjustable", "open-spanners"))).possible is False
    both = pump_with(operation("turn", needs=[need("adjustable"), need("second-adjustable")]))
    assert plan_strip(both, ToolBag(tools=("adjustable", "open-spanners"))).possible


def test_an_operation_that_needs_a_vice_is_not_done_without() -> None:
    pump = pump_with(operation("press", needs_vice=True))
    without = plan_strip(pump, ToolBag(place="bench"))
    assert without.why_not == ("press: needs a vice.",)
    assert plan_strip(pump, ToolBag(vice=True)).possible


def test_timber_stands_in_for_a_vice_where_any_hold_will_do() -> None:
    pump = pump_with(operation("hold", needs=[need("vice")]))
    assert "in place of the vice" in plan_strip(pump, ToolBag()).steps[0].tools[0]
    assert plan_strip(pump, ToolBag(vice=True)).steps[0].tools == ("Vice",)


def test_an_unknown_tool_is_bad_input_and_a_pumps_own_tool_is_not() -> None:
    pump = pump_with(operation("turn", needs=[need("jig")]))
    with pytest.raises(UnknownName, match="spaner"):
        check_bag(pump, ToolBag(tools=("c-spaner",)))
    check_bag(pump, ToolBag(tools=("jig", "hammer", "vice")))
    assert plan_strip(pump, ToolBag(tools=("jig", "c-spaner"))).possible
    assert tool_titles(pump)["jig"] == "Jig"
    assert issubclass(UnknownName, BadInput)


def test_risk_is_weighed_against_time() -> None:
    # 1 % of two hours is 72 s: worth fetching the second tool for 15 s, not worth 100 s
    risky = {"any_of": [{"tool": "saw", "risk": 0.01}, {"tool": "bar"}]}
    pump = pump_with(operation("a", needs=[need("saw")]), operation("b", needs=[risky]))
    assert [s.tools for s in plan_strip(pump, ToolBag(tools=TOOLS)).steps] == [("Saw",), ("Bar",)]
    slow = pump_with(
        operation("a", needs=[need("saw")]), operation("b", needs=[risky]), tool_change=100.0
    )
    plan = plan_strip(slow, ToolBag(tools=TOOLS))
    assert [s.tools for s in plan.steps] == [("Saw",), ("Saw",)]
    assert plan.risk == pytest.approx(0.01)


# --- only as deep as needed --------------------------------------------------------------------


def keys(plan: StripPlan) -> list[str]:
    return [s.operation.key for s in plan.steps]


@pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
def test_the_foot_valve_alone_leaves_the_rod_in_place(key: str) -> None:
    plan = plan_strip(demo_pump(key), ToolBag(tools=TAILGATE, goal="foot-valve"))
    assert plan.possible
    given = {part for s in plan.steps for part in s.operation.gives}
    assert {"foot-ball", "foot-seat"} <= given
    assert not {"rod", "coupling", "gland-nut"} & given
    assert len(plan.steps) == 5


@pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
def test_the_piston_leaves_the_foot_valve_and_the_gland_nut_alone(key: str) -> None:
    plan = plan_strip(demo_pump(key), ToolBag(tools=TAILGATE, goal="piston"))
    given = {part for s in plan.steps for part in s.operation.gives}
    assert {"piston-ball", "piston-seat", "moving-packings", "rod", "cylinder"} <= given
    assert not {"foot-ball", "gland-nut", "static-packings", "outlet-filter"} & given


def test_static_packings_come_out_over_the_rod_where_the_build_allows() -> None:
    yard = plan_strip(demo_pump("yard-hydraulic"), ToolBag(tools=TAILGATE, goal="static-packings"))
    quay = plan_strip(demo_pump("quay-air"), ToolBag(tools=TAILGATE, goal="static-packings"))
    assert "rod-out" not in keys(yard)
    assert "rod-out" in keys(quay)
    assert yard.time < quay.time


def test_a_goal_part_that_nothing_gives_is_named() -> None:
    plan = plan_strip(pump_with(operation("look")), ToolBag(goal="foot-valve"))
    assert not plan.possible
    assert "foot-valve ball" in plan.why_not[0]
    assert "foot-valve seat" in plan.why_not[1]


# --- the demo pumps, read as a technician (common practice, no source) ---------------------------


@pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
@pytest.mark.parametrize("more", [(), ("strap-wrench", "pin-spanner", "socket-set")])
def test_demo_plans_read_right(key: str, more: tuple[str, ...]) -> None:
    plan = plan_strip(demo_pump(key), ToolBag(tools=TAILGATE + more))
    order = keys(plan)
    assert plan.possible
    assert order[0] == "slacken-gland"
    nut = order.index("gland-nut-off")
    swings = [s for s in plan.steps if "rod" in s.operation.swings_near]
    assert len(swings) >= 4
    assert all(s.number <= nut for s in swings)
    lowered = order.index("wet-end-off")
    cracks = [i for i, k in enumerate(order) if k.endswith("-crack")]
    assert len(cracks) == 2
    assert all(i < lowered for i in cracks)
    assert order.index("rod-out") < nut
    assert all(s.operation.how for s in plan.steps)
    assert plan.keep
    assert "orders obey all the rules" in plan.proof
    assert plan.working is not None


@pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
def test_cautions_stand_at_the_steps_that_need_them(key: str) -> None:
    plan = plan_strip(demo_pump(key), ToolBag(tools=TAILGATE))
    texts = {s.operation.key: " ".join(c.text for c in s.cautions) for s in plan.steps}
    assert "zero is proven" in texts["slacken-gland"]
    assert "Eye protection when striking" in texts["seat-out"]
    assert "Nothing hard may touch it" in texts["rod-out"]
    assert "hands on the timber only" in texts["rod-out"]
    assert "The wet end weighs" in texts["wet-end-off"]
    assert any("safety data sheet" in text for text in texts.values())
    cracked = [s for s in plan.steps if "crack" in s.operation.key]
    assert cracked
    assert all("slips" in texts[s.operation.key] for s in cracked)
    for step in plan.steps:
        assert [c.grade for c in step.cautions] == sorted(
            (c.grade for c in step.cautions), key=list(Grade).index
        )
        hazards = [c.hazard for c in step.cautions]
        assert len(hazards) == len(set(hazards))


def test_the_coating_and_the_sites_limit_are_told_at_their_steps() -> None:
    epoxy = next(c for c in demo_coatings() if c.key == "epoxy-tank")
    bag = ToolBag(tools=TAILGATE)
    site = SiteFacts(lifting_limit=10.0)
    plan = plan_strip(demo_pump("quay-air"), bag, coating=epoxy, site=site)
    wet = [s for s in plan.steps if any(c.hazard == "hardener" for c in s.cautions)]
    assert len(wet) == 1  # at the first step that lets it run out, and no more
    (weight,) = [c for s in plan.steps for c in s.cautions if c.hazard == "lifting"]
    assert "two persons" in weight.text
    plain = plan_strip(demo_pump("quay-air"), bag)
    assert [s.operation.key for s in plan.steps] == [s.operation.key for s in plain.steps]


def test_no_tube_goes_on_a_wrench_that_it_lets_slip_and_no_hammer_on_a_spanner() -> None:
    """Common practice, no source. A description of one's own may still ask for a tube."""
    needs = [need("adjustable", "c-spanner"), need("tube", "hammer")]
    pump = pump_with(operation("crack", needs=needs))

    def plan_with(*tools: str) -> StripPlan:
        return plan_strip(pump, ToolBag(tools=tools))

    (step,) = plan_with("adjustable", "c-spanner", "tube", "hammer").steps
    assert set(step.tools) == {"C-spanner", "Tube for leverage"}
    assert not plan_with("adjustable", "c-spanner", "hammer").possible
    (why,) = plan_with("adjustable", "tube").why_not[:1]
    assert "slogging spanner" in why
    assert "can't be done safely" in why
    for key in DEMO_PUMPS:
        named = {c.tool for o in demo_pump(key).strip.operations for n in o.needs for c in n.any_of}
        assert "tube" not in named
    assert "tube" not in STAND_INS


def test_better_tools_never_make_a_plan_longer() -> None:
    pump = demo_pump("yard-hydraulic")

    def expected(plan: StripPlan) -> float:
        return plan.time + sum(s.risk for s in plan.steps) * SPOILT

    few = expected(plan_strip(pump, ToolBag(tools=TAILGATE)))
    more = expected(plan_strip(pump, ToolBag(tools=(*TAILGATE, "pin-spanner"))))
    assert more < few


# --- half done, and several goals at once ----------------------------------------------------


def rest_of(plan: StripPlan, done: int) -> list[str]:
    return [s.operation.key for s in plan.steps[done:]]


@pytest.mark.parametrize("key", ["quay-air", "yard-hydraulic"])
def test_done_as_planned_the_rest_stands_as_it_was(key: str) -> None:
    pump = demo_pump(key)
    bag = ToolBag(tools=(*TAILGATE, "strap-wrench", "second-adjustable", "socket-set",
                         "pin-spanner", "circlip-pliers", "packing-hook", "soft-hammer"),
                  vice=True)  # fmt: skip
    plan = plan_strip(pump, bag)
    keys = [s.operation.key for s in plan.steps]
    for done in range(1, len(keys) + 1):
        again = plan_strip(pump, bag, done=keys[:done])
        assert again.steps == plan.steps
        assert not again.replanned
        assert again.left == pytest.approx(sum(s.time for s in plan.steps[done:]))


def least_after(graph: StripGraph, past: list[Operation]) -> float:
    """The rest by every order and every way, from where the work stands with no tool in hand."""
    rest = [o for o in graph.operations if o not in past]
    start = next((o.pose for o in reversed(past) if o.pose), "upright")
    best = math.inf
    for order in itertools.permutations(rest):
        if not keeps_rules((*past, *order)):
            continue
        for chosen in itertools.product(*(ways(o) for o in order)):
            time, hand, pose, end = 0.0, frozenset[str](), start, ENDS[past[-1].part]
            for one, (tools, cost) in zip(order, chosen, strict=True):
                time += cost + graph.tool_change * len(tools - hand)
                hand = tools or hand
                if one.pose and one.pose != pose:
                    time, pose = time + graph.pose_change, one.pose
                if end != ENDS[one.part]:
                    time += graph.end_change
                end = ENDS[one.part]
            best = min(best, time)
    return best


def test_done_another_way_the_rest_takes_the_least_time_from_there() -> None:
    rng = random.Random(11)
    seen = 0
    while seen < 60:
        size = rng.randint(3, 6)
        try:
            graph = StripGraph(
                operations=tuple(operation(**o) for o in random_operations(rng, size))
            )
        except ValidationError:
            continue
        pump = demo_pump("quay-air").model_copy(update={"strip": graph})
        orders = [o for o in itertools.permutations(graph.operations) if keeps_rules(o)]
        past = list(rng.choice(orders)[: rng.randint(1, size - 1)])
        plan = plan_strip(pump, ToolBag(tools=TOOLS), done=[o.key for o in past])
        if not plan.replanned or not plan.possible:
            continue
        seen += 1
        assert [s.operation for s in plan.steps[: len(past)]] == past
        assert keeps_rules(tuple(s.operation for s in plan.steps))
        assert plan.expected == pytest.approx(least_after(graph, past))


def test_a_tool_that_is_lost_half_way_asks_only_for_what_is_still_to_do() -> None:
    pump = demo_pump("quay-air")
    done = ("suction-off", "foot-crack", "foot-housing-off")
    plan = plan_strip(pump, ToolBag(goal="foot-valve", tools=("soft-drift", "hammer")), done=done)
    assert plan.possible
    assert rest_of(plan, 3) == ["cage-out", "seat-out"]
    assert not plan_strip(pump, ToolBag(goal="foot-valve", tools=("soft-drift",))).possible


def test_what_was_done_out_of_turn_is_warned_of() -> None:
    pump = demo_pump("quay-air")
    bag = ToolBag(tools=(*TAILGATE, "strap-wrench", "second-adjustable", "socket-set"), vice=True)
    done = ("slacken-gland", "suction-off", "hose-off", "collets-off", "wet-end-off",
            "gland-nut-off")  # fmt: skip
    plan = plan_strip(pump, bag, done=done)
    steps = {s.operation.key: s for s in plan.steps}
    held = " ".join(c.text for c in steps["foot-crack"].cautions)
    bare = " ".join(c.text for c in steps["cylinder-crack"].cautions)
    assert "no longer held" in held
    assert "Bare and near the tool: chromed rod" in bare
    assert not any("no longer held" in c.text for c in steps["rod-out"].cautions)


def test_several_goals_are_one_strip_and_take_less_time_than_one_after_another() -> None:
    pump = demo_pump("quay-air")
    rest = {"tools": (*TAILGATE, "strap-wrench", "second-adjustable", "socket-set"), "vice": True}
    one, other = (
        plan_strip(pump, ToolBag(goal=goal, **rest)) for goal in ("foot-valve", "static-packings")
    )
    both = plan_strip(pump, ToolBag(goal="foot-valve", also=("static-packings",), **rest))
    keys = {s.operation.key for s in both.steps}
    assert keys == {s.operation.key for p in (one, other) for s in p.steps}
    assert both.time < one.time + other.time
    assert both.goal == "foot-valve + static-packings"
    assert "piston-open" not in keys
