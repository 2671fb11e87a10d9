"""What scripts add: lists filtered, the drawing redrawn, drafts kept, pages read aloud."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser, expect

pytestmark = pytest.mark.browser


def test_lists_are_filtered_and_a_pump_is_drawn_as_one_types(browser: Browser, shown_address: str):
    page = browser.new_page(viewport={"width": 360, "height": 740})
    page.goto(f"{shown_address}/")
    page.fill("#find", "DOCK west")
    expect(page.locator("#pumps li:visible")).to_have_count(1)
    page.fill("#find", "zebra")
    expect(page.locator("#pumps-none")).to_be_visible()
    page.goto(f"{shown_address}/calculators")
    page.fill("#find-calc", "creep")
    expect(page.get_by_role("link", name="Leak from the creep of a stalled pump")).to_be_visible()
    page.fill("#find-calc", "")
    expect(page.locator(".calc-group[open]")).to_have_count(0)
    page.goto(f"{shown_address}/pumps/new")
    expect(page.get_by_role("button", name="Draw it so far")).to_be_hidden()
    for name, text in (("name", "Slip"), ("bore", "60"), ("rod", "40"), ("stroke", "100")):
        page.fill(f"#ten-{name}", text)
    expect(page.locator("#drawn-h")).to_have_text("5 of 10 answered")
    expect(page.locator("#drawn")).to_contain_text("283")  # pi/4 x 6 cm x 6 cm x 10 cm, mL
    page.close()


def test_a_draft_outlives_a_closed_browser(browser: Browser, shown_address: str):
    """Another tab has nothing of the first one's session; what is typed stays on the device."""
    context = browser.new_context()
    first = context.new_page()
    first.goto(f"{shown_address}/pumps/new")
    first.fill("#ten-name", "Slip, not saved")
    first.close()
    again = context.new_page()
    again.goto(f"{shown_address}/pumps/new")
    expect(again.locator("#ten-name")).to_have_value("Slip, not saved")
    expect(again.get_by_text("What you typed here before")).to_be_visible()
    again.evaluate(
        "Object.keys(localStorage).filter((n) => n.startsWith('draft ')).forEach((n) => {"
        "const d = JSON.parse(localStorage[n]); d.at -= 8 * 24 * 3600 * 1000;"
        "localStorage[n] = JSON.stringify(d); })"
    )
    again.close()
    late = context.new_page()
    late.goto(f"{shown_address}/pumps/new")
    expect(late.locator("#ten-name")).to_have_value("")
    context.close()


def test_a_page_is_read_aloud_only_where_that_is_switched_on(browser: Browser, shown_address: str):
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script(
        "window.said = []; SpeechSynthesis.prototype.speak = (u) => window.said.push(u.text);"
    )
    page.goto(f"{shown_address}/injection")
    expect(page.locator("#aloud")).to_have_count(0)
    context.add_cookies([{"name": "wetend-aloud", "value": "on", "url": shown_address}])
    page.goto(f"{shown_address}/calculators/gap-leak")
    page.click("#aloud")
    said = page.evaluate("window.said")
    assert said[0] == page.locator("h1").inner_text()
    assert len(said) > 5
    assert not any(re.search(r"Read aloud|Metric", text) for text in said)
    context.close()
