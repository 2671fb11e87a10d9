from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from wetend.advice.strip import plan_strip, tool_titles
from wetend.pump.readings import ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.reports.strip_card import INJECTION, MAKE_SAFE, MANUAL_FIRST, strip_card

Pages = Callable[[bytes], list[str]]
WHEN = datetime(2031, 5, 4, tzinfo=UTC)
ALL_TOOLS = tuple(tool_titles())


SITE_TOOLS = (
    "timber-block", "soft-drift", "c-spanner", "pipe-wrench", "second-pipe-wrench", "adjustable",
    "hammer", "tube", "hexagon-keys", "circlip-pliers", "packing-hook",
)  # fmt: skip


def close(text: str) -> str:
    """Without spaces: a PDF breaks lines where it likes."""
    return "".join(text.split())


@pytest.mark.parametrize("tools", [ALL_TOOLS, SITE_TOOLS], ids=["all tools", "on site"])
@pytest.mark.parametrize("goal", ["foot-valve", "whole"])
@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_the_card_has_every_step_in_order_with_its_cautions_at_it(
    key: str, goal: str, tools, pages: Pages
) -> None:
    pump = demo_pump(key)
    plan = plan_strip(pump, ToolBag(tools=tools, goal=goal))
    text = close(" ".join(pages(strip_card(pump, plan, issued=WHEN))))
    assert close(MANUAL_FIRST.upper()) in text
    places = [text.index(close(step.operation.title)) for step in plan.steps]
    assert places == sorted(places)
    for step, start, end in zip(plan.steps, places, [*places[1:], len(text)], strict=True):
        own = text[start:end]
        for tool in step.tools:
            assert close(tool.partition(" in place of ")[0]) in own
        for caution in step.cautions:
            assert close(caution.text.removesuffix("The maker's manual comes first.")) in own


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_a_whole_strip_goes_on_two_pages(key: str, pages: Pages) -> None:
    pump = demo_pump(key)
    plan = plan_strip(pump, ToolBag(tools=SITE_TOOLS, goal="whole"))
    assert len(plan.steps) >= 18
    assert len(pages(strip_card(pump, plan, issued=WHEN))) == 2


def test_what_is_shielded_is_said_where_it_begins_with_how_long(pages: Pages) -> None:
    pump = demo_pump("quay-air")
    plan = plan_strip(pump, ToolBag(tools=SITE_TOOLS, goal="whole"))
    last = max(step.number for step in plan.steps if "chromed rod" in step.shielded)
    text = close(" ".join(pages(strip_card(pump, plan, issued=WHEN))))
    assert text.count(close("chromed rod.")) >= 1
    assert close(f"Shielded, up to step {last}: chromed rod.") in text


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
