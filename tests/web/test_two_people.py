"""Real Chromium: a button tapped twice, and two people with the same forms open."""

from __future__ import annotations

from collections.abc import Iterator
from threading import Event
from typing import Any

import pytest
from phone_photos import PHOTOS
from playwright.sync_api import Browser, Page, expect

from wetend.records.store import Depot
from wetend.workflows.desk import Desk

from .conftest import PATIENCE

pytestmark = pytest.mark.browser


@pytest.fixture
def two(browser: Browser, site, address) -> Iterator[tuple[Page, Page]]:
    """Two people with browsers of their own at one visit."""
    contexts = [browser.new_context() for _ in range(2)]
    for context, who in zip(contexts, ("Ann", "Ben"), strict=True):
        context.add_cookies([{"name": "wetend-who", "value": who, "url": address}])
    yield contexts[0].new_page(), contexts[1].new_page()
    for context in contexts:
        context.close()


def _kinds(site, kind: str) -> int:
    return len(site.depot.entries(visit=site.open_visit, kinds=(kind,)))


def _save(page: Page) -> None:
    page.locator("#readings button.do").first.click()


@pytest.fixture
def both_sent(monkeypatch: pytest.MonkeyPatch) -> Event:
    """What is kept is answered only once this is set: when the second tap has been sent as well."""
    append, both = Depot.append, Event()

    def late(*given: Any, **more: Any) -> str | None:
        kept = append(*given, **more)
        both.wait(PATIENCE)
        return kept

    monkeypatch.setattr(Depot, "append", late)
    return both


@pytest.mark.parametrize("what", ["remark", "complaint", "photo"])
def test_a_button_tapped_twice_keeps_once(browser: Browser, site, address, both_sent, what: str):
    sent = []
    page = browser.new_page()
    page.goto(f"{address}/visits/{site.open_visit}/complaint")
    kind = {"remark": "note"}.get(what, what)
    before = _kinds(site, kind)
    if what == "remark":
        page.get_by_text("Add a remark").click()
        page.fill("#remark-text", "Wet round the elbow")
        button = page.get_by_role("button", name="Save the remark")
    elif what == "photo":
        page.get_by_text("Add a photo").click()
        photo = {"name": "x.jpg", "mimeType": "image/jpeg", "buffer": PHOTOS["jpeg"]()}
        page.set_input_files("#photo-file", photo)
        button = page.get_by_role("button", name="Save the photo")
    else:
        page.fill("#complaint-said", "Stands, and drips at the elbow")
        button = page.get_by_role("button", name="Save the complaint")
    page.on("request", lambda request: sent.append(request.method))
    button.scroll_into_view_if_needed()
    box = button.bounding_box()
    for taps in (1, 2):  # as a finger does, which waits for no answer
        page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        while sent.count("POST") < taps:
            page.wait_for_timeout(20)
    both_sent.set()
    expect(page.locator(".notice[role=status]")).to_be_visible()
    page.goto(f"{address}/visits/{site.open_visit}/complaint")
    assert sent.count("POST") == 2
    assert _kinds(site, kind) == before + 1
    page.close()


def test_two_who_fill_in_different_boxes_keep_both(two, site, address):
    for page in two:
        page.goto(f"{address}/visits/{site.open_visit}/checks")
    ann, ben = two
    ann.fill("#readings-stall_pressure", "271")
    ben.fill("#readings-spray_pressure", "182")
    for page in two:
        _save(page)
        expect(page.locator("#readings")).to_be_visible()
    readings = Desk(site.depot).visit(site.open_visit).readings
    assert readings.stall_pressure == pytest.approx(2.71e7)
    assert readings.spray_pressure == pytest.approx(1.82e7)


def test_of_two_who_fill_in_the_same_box_the_later_is_shown_both(two, site, address):
    for page in two:
        page.goto(f"{address}/visits/{site.open_visit}/checks")
    ann, ben = two
    ann.fill("#readings-stall_pressure", "271")
    ben.fill("#readings-stall_pressure", "252")
    _save(ann)
    expect(ann.locator(".notice[role=status]")).to_be_visible()
    _save(ben)
    expect(ben.locator("main")).to_contain_text("Ann entered 271 bar")
    expect(ben.locator("main")).to_contain_text("you entered 252 bar")
    expect(ben.locator("#readings-stall_pressure")).to_have_value("252")
    assert Desk(site.depot).visit(site.open_visit).readings.stall_pressure == pytest.approx(2.71e7)
    _save(ben)
    expect(ben.locator(".notice[role=status]")).to_be_visible()
    assert Desk(site.depot).visit(site.open_visit).readings.stall_pressure == pytest.approx(2.52e7)
