from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from wetend.advice.strip import plan_strip, tool_titles
from wetend.pump.readings import ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.reports.strip_card import INJECTION, MAKE_SAFE, strip_card

Pages = Callable[[bytes], list[str]]
WHEN = datetime(2031, 5, 4, tzinfo=UTC)
ALL_TOOLS = tuple(tool_titles())


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_card_has_every_step_in_order_with_its_cautions(key: str, pages: Pages) -> None:
    pump = demo_pump(key)
    plan = plan_strip(pump, ToolBag(tools=ALL_TOOLS, goal="foot-valve"))
    text = " ".join(pages(strip_card(pump, plan, issued=WHEN)))
    opening = text[text.index("OPEN ") :]
    places = [opening.index(step.operation.title) for step in plan.steps]
    assert places == sorted(places)
    flat = text.replace(" ", "")
    for step in plan.steps:
        for tool in step.tools:
            assert tool.replace(" ", "") in flat
        for caution in step.cautions:
            assert caution.text.replace(" ", "") in flat


def test_making_safe_stands_before_the_first_step(pages: Pages) -> None:
    pump = demo_pump("quay-air")
    plan = plan_strip(pump, ToolBag(tools=ALL_TOOLS))
    text = " ".join(pages(strip_card(pump, plan, issued=WHEN, visit_id="ab" * 16)))
    first = text.index(plan.steps[0].operation.title)
    for line in (*MAKE_SAFE, INJECTION.text[:60]):
        assert text.index(line) < first
    assert "abababababab" in text


def test_a_strip_that_cannot_be_done_here_says_what_is_lacking(pages: Pages) -> None:
    pump = demo_pump("quay-air")
    plan = plan_strip(pump, ToolBag(tools=()))
    assert not plan.possible
    text = " ".join(pages(strip_card(pump, plan, issued=WHEN)))
    assert "CANNOT BE DONE HERE" in text
    for why in plan.why_not:
        assert why.replace(" ", "") in text.replace(" ", "")


def test_the_same_card_gives_the_same_bytes() -> None:
    pump = demo_pump("quay-air")
    plan = plan_strip(pump, ToolBag(tools=ALL_TOOLS, goal="foot-valve"))
    assert strip_card(pump, plan, issued=WHEN) == strip_card(pump, plan, issued=WHEN)
