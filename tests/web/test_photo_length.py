"""Two taps on a scale and two on a mark give its length; without script pixels are typed."""

from __future__ import annotations

import io

import pytest
from PIL import Image
from playwright.sync_api import Browser, expect

from wetend.pump.readings import VisitStart
from wetend.workflows import visits
from wetend.workflows.desk import Desk


@pytest.fixture
def visit(site) -> str:
    """A visit with a photo of 800 by 400 pixels."""
    held = io.BytesIO()
    Image.new("RGB", (800, 400), (120, 110, 100)).save(held, "PNG")
    made = visits.start(Desk(site.depot), VisitStart(pump=site.pump))
    visits.add_photo(Desk(site.depot), made, held.getvalue(), caption="Seat <b>", stage="inspect")
    return made


def test_without_a_photo_it_says_how_to_take_one(person, site):
    made = visits.start(Desk(site.depot), VisitStart(pump=site.pump))
    assert "a rule or a coin beside the mark" in person.get(f"/visits/{made}/photo-length").text


def test_the_photo_stands_on_the_page_and_its_caption_is_text(person, visit: str):
    text = person.get(f"/visits/{visit}/photo-length").text
    assert "Seat &lt;b&gt;" in text
    assert "Measure on a photo" in person.get(f"/visits/{visit}/inspect").text


@pytest.mark.browser
def test_four_taps_and_a_coin_give_the_marks_length(browser: Browser, address, visit: str):
    page = browser.new_page(viewport={"width": 360, "height": 780})
    page.goto(f"{address}/visits/{visit}/photo-length")
    expect(page.locator("#photo-next")).to_contain_text("one end of the known length")
    shown = page.locator("#photo").bounding_box()
    scale = shown["width"] / 800
    for x, y in ((100, 100), (600, 100), (100, 300), (200, 300)):
        page.locator("#onphoto").click(position={"x": x * scale, "y": y * scale})
    expect(page.locator("#photo-next")).to_contain_text("All four points")
    page.fill("#known", "20")
    page.get_by_role("button", name="Calculate the length").click()
    text = page.locator("#answer").inner_text()
    page.close()
    # 100 pixels of 500 for 20 mm: 4 mm, to a pixel or two of where a tap lands
    length = float(text.split("Length of the mark")[1].split()[0])
    assert length == pytest.approx(4.0, abs=0.1)
