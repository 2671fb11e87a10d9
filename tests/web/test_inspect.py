"""The inspection's page: where each part is measured."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Browser

from wetend.drawings.measuring.benches import BENCHES as DRAWN
from wetend.web.inspect import BENCHES


def test_every_part_of_the_inspection_and_the_stack_has_its_picture() -> None:
    assert DRAWN.keys() == {*BENCHES, "stack"}


@pytest.mark.parametrize("part", BENCHES)
def test_the_picture_stands_at_the_entry_before_the_form(reader, shown, part: str):
    text = reader.get(f"/visits/{shown.open_visit}/inspect?part={part}").text
    measure = text[text.index('id="measure"') : text.index('id="answer"')]
    drawn, form = measure.index("dw-measure"), measure.index('<form class="ask"')
    assert drawn < form
    assert re.search(r"<desc>[^<]+: [^<]+</desc>", measure)


def test_the_stacks_picture_stands_at_the_heights(reader, shown):
    text = reader.get(f"/visits/{shown.open_visit}/rebuild").text
    assert "Housing depth: depth gauge" in text[text.index('id="heights-h"') :]


@pytest.mark.browser
@pytest.mark.parametrize("part", ["rod", "moving-packings"])
def test_labels_are_twelve_pixels_on_a_narrow_phone(
    browser: Browser, shown, shown_address, part: str
):
    page = browser.new_page(viewport={"width": 360, "height": 740})
    page.goto(f"{shown_address}/visits/{shown.open_visit}/inspect?part={part}")
    sizes = page.locator(".dw-measure text").evaluate_all(
        "all => all.map(t => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a)"
    )
    assert len(sizes) > 10
    assert min(sizes) >= 12
    page.close()
