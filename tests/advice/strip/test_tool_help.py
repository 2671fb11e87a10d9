"""What one more tool would save."""

from __future__ import annotations

import pytest

from wetend.advice.strip.plan import plan_strip
from wetend.advice.strip.tool_help import would_help
from wetend.pump.readings import ToolBag
from wetend.pump.toml import demo_pump

TAILGATE = (
    "c-spanner", "pipe-wrench", "second-pipe-wrench", "adjustable", "hammer", "soft-drift", "tube",
    "open-spanners", "screwdriver", "hexagon-keys",
)  # fmt: skip
YARD = demo_pump("yard-hydraulic")


def test_each_saving_is_what_the_two_plans_differ_by() -> None:
    bag = ToolBag(tools=TAILGATE)
    helps = would_help(YARD, bag)
    now = plan_strip(YARD, bag)
    assert helps
    assert [h.saves for h in helps] == sorted((h.saves for h in helps), reverse=True)
    for help_ in helps:
        then = plan_strip(YARD, ToolBag(tools=(*TAILGATE, help_.tool)))
        assert help_.saves == pytest.approx(now.expected - then.expected)
        assert help_.spares == pytest.approx(now.risk - then.risk)
        assert not help_.makes_possible


def test_the_pin_spanner_helps_most_on_the_yard_pump() -> None:
    # common practice, no source: gland nut and piston nut of this pump both take it
    assert would_help(YARD, ToolBag(tools=TAILGATE))[0].tool == "pin-spanner"


def test_the_one_tool_without_which_nothing_goes_comes_first() -> None:
    few = tuple(t for t in TAILGATE if t != "hexagon-keys")
    first = would_help(YARD, ToolBag(tools=few))[0]
    assert first.makes_possible
    assert first.tool == "hexagon-keys"


def test_a_full_bag_wants_nothing() -> None:
    every = tuple({c.tool for o in YARD.strip.operations for n in o.needs for c in n.any_of})
    assert would_help(YARD, ToolBag(tools=every, vice=True)) == ()
