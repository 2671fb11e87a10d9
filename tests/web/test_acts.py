"""The part of a step travels between its two places when asked to, and stands still else."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from wetend.pump.make_safe import all_done
from wetend.pump.readings import ToolBag, VisitStart
from wetend.pump.toml import demo_pump
from wetend.workflows import pumps, strip, visits, zero
from wetend.workflows.desk import Desk

pytestmark = pytest.mark.browser


@pytest.fixture
def steps(site, address) -> str:
    """Address of the steps of a strip made safe, with every tool."""
    desk = Desk(site.depot, who="R. Okafor (invented)")
    if "quay-air" not in {line.pump.key for line in pumps.list_pumps(desk)}:
        pumps.describe(desk, demo_pump("quay-air"))
    made = visits.start(desk, VisitStart(pump="quay-air"))
    tools = tuple(t for t in strip.view(desk, made).tools if t != "vice")
    strip.save_bag(desk, made, ToolBag(tools=tools, vice=True))
    zero.save_list(desk, made, all_done(demo_pump("quay-air").drive.kind))
    return f"{address}/visits/{made}/strip/steps"


def _opened(browser: Browser, steps: str, **options: str) -> tuple[Page, Locator]:
    page = browser.new_context(viewport={"width": 360, "height": 740}, **options).new_page()
    page.goto(f"{steps}#step-2")
    return page, page.locator("#step-2 .drawing.act")


def _away(drawn: Locator) -> str:
    """Where the part stands at its place, as its group says."""
    go = drawn.locator("[data-go]").get_attribute("data-go")
    return f"translate({go})"


def test_the_part_travels_from_its_place_and_can_be_moved_by_hand(browser: Browser, steps: str):
    page, drawn = _opened(browser, steps)
    part, hand = drawn.locator(".dw-go").last, drawn.get_by_role("slider")
    assert part.get_attribute("transform") is None
    hand.fill("0")
    expect(part).to_have_attribute("transform", _away(drawn))
    drawn.get_by_role("button", name="Show the move").click()
    expect(drawn.get_by_role("button", name="Show the move")).to_be_visible()
    expect(part).to_have_attribute("transform", re.compile(r"translate\(-?0 -?0\)"))
    expect(hand).to_have_value("100")
    page.context.close()


def test_who_wants_no_motion_sees_the_part_at_once_at_its_place(browser: Browser, steps: str):
    page, drawn = _opened(browser, steps, reduced_motion="reduce")
    part = drawn.locator(".dw-go").last
    button = drawn.get_by_role("button")
    button.click()
    assert part.get_attribute("transform") == _away(drawn)
    button.click()
    assert part.get_attribute("transform") in ("translate(0 0)", "translate(-0 0)")
    page.context.close()


def test_without_script_both_places_are_drawn_and_nothing_asks_to_be_pressed(
    browser: Browser, steps: str
):
    page, drawn = _opened(browser, steps, java_script_enabled=False)  # type: ignore[arg-type]
    assert drawn.get_by_role("button").count() == 0
    page.goto(f"{steps}#step-8")
    assert page.locator("#step-8 .dw-ghost use").count() >= 1
    page.context.close()


def test_what_is_only_slackened_does_not_travel(browser: Browser, steps: str):
    page, _ = _opened(browser, steps)
    assert page.locator("#step-1 .drawing.act [data-go]").count() == 0
    assert page.locator("#step-1 .go").count() == 0
    page.context.close()
