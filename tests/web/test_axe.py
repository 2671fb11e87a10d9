"""The contrast of texts that look alike is judged once for all of them, and none slips through."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from .axe import faults

pytestmark = pytest.mark.browser
LIGHT = {"color-contrast"}
ALIKE = "<main>" + "<p>Text of some words</p>" * 5 + "{more}</main>"
COVERED = """<style>p { color: #999; background: #fff } #over { position: absolute; left: 0;
  top: 0; width: 100%; height: 4em; background: #fff }</style><main>
  <p>This one can not be judged, for it is covered by what lies over it</p>
  <div style="height: 5em"></div><p>This can</p><div id="over"></div></main>"""


PAGES = {
    "all well": (ALIKE.format(more=""), set()),
    "of its own": (ALIKE.format(more='<p style="color: #999">As light as this</p>'), LIGHT),
    "by its class": (
        ALIKE.format(more='<p class="b">By</p><style>.b { color: #999 }</style>'),
        LIGHT,
    ),
    "by what lies under": (
        ALIKE.format(more='<div style="background: #333"><p>On a dark one</p></div>'),
        LIGHT,
    ),
    "by what lies around": (
        ALIKE.format(more='<div style="opacity: .5"><p>Through another</p></div>'),
        LIGHT,
    ),
    "typed": (ALIKE.format(more='<input aria-label="a" style="color: #aaa" value="typed">'), LIGHT),
    "alike, the longest covered": (COVERED, LIGHT),
}


@pytest.mark.parametrize("kind", PAGES)
def test_a_text_too_light_is_found_among_those_alike(browser: Browser, kind: str):
    body, found = PAGES[kind]
    page = browser.new_page()
    page.set_content(
        f'<html lang="en"><title>A</title><body style="margin: 0">{body}</body></html>'
    )
    assert {rule for rule, _, _ in faults(page, within="main")} == found
    page.close()
