"""Ways of doing an operation: leaving dear ones out never makes a plan longer."""

from __future__ import annotations

import random

import pytest

from wetend.advice.strip import ways
from wetend.advice.strip.plan import plan_strip
from wetend.advice.strip.tools import ALWAYS, LEVERED, STAND_INS, STRUCK, TOOLS
from wetend.advice.strip.ways import lacking, tools_to_hand, ways_of
from wetend.pump.readings import ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_pump

BAGS = [tuple(random.Random(seed).sample(sorted(TOOLS), 17)) for seed in range(7)]


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("bag", BAGS)
def test_ways_left_out_would_not_have_shortened_the_plan(
    key: str, bag: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    pump = demo_pump(key)
    few = plan_strip(pump, ToolBag(tools=bag))
    monkeypatch.setattr(ways, "_never_dearer", lambda *_: False)
    every = plan_strip(pump, ToolBag(tools=bag))
    assert every.possible == few.possible
    assert every.expected == pytest.approx(few.expected, rel=1e-12)
    assert not few.possible or "orders obey all the rules" in every.proof


@pytest.mark.parametrize("key", DEMO_PUMPS)
@pytest.mark.parametrize("bag", BAGS)
def test_an_operation_has_a_way_unless_it_lacks_something(key: str, bag: tuple[str, ...]) -> None:
    tools = tools_to_hand(ToolBag(tools=bag))
    for operation in demo_pump(key).strip.operations:
        found = ways_of(operation, tools, tool_change=15.0)
        assert bool(found) != bool(lacking(operation, tools))
        assert [w.cost for w in found] == sorted(w.cost for w in found)
        assert all(w.tools <= tools and w.time >= operation.time for w in found)


def test_every_tool_spoken_of_has_a_title() -> None:
    spoken = {s.tool for stand_ins in STAND_INS.values() for s in stand_ins}
    assert spoken | set(STAND_INS) | ALWAYS | LEVERED | STRUCK <= set(TOOLS)
    demo = {
        c.tool
        for key in DEMO_PUMPS
        for o in demo_pump(key).strip.operations
        for need in o.needs
        for c in need.any_of
    }
    assert demo <= set(TOOLS)


def test_a_stand_in_is_never_better_than_the_right_tool() -> None:
    for stand_ins in STAND_INS.values():
        assert all(s.slower >= 1 and 0 <= s.risk < 0.2 for s in stand_ins)
