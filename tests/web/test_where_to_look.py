"""Pictures of where checks and proofs are read, on their pages."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from wetend.advice.prove.acts import ACTS
from wetend.drawings.measuring.scheme import STOCK


def test_each_check_and_each_proof_shows_where_to_look_on_its_page(reader, shown):
    for stage in ("checks", "prove"):
        text = reader.get(f"/visits/{shown.open_visit}/{stage}").text
        count = text.count('name="further"') if stage == "checks" else len(ACTS)
        assert count > 12
        assert text.count(f'id="{STOCK}"') == 1, stage
        assert text.count("<summary>Where to look</summary>") >= count, stage
        assert text.index(f'id="{STOCK}"') < text.index(f'href="#{STOCK}"')


def test_the_caution_stands_before_the_picture(reader, shown):
    text = reader.get(f"/visits/{shown.open_visit}/prove").text
    act = text[text.index("Stall hold, both ways") :]
    assert act.index('class="caution') < act.index("Where to look")


@pytest.mark.browser
@pytest.mark.parametrize(
    "page", ["checks", "prove", "rebuild", "inspect?part=rod&like=dent", "do/inspect/rod"]
)
@pytest.mark.parametrize("wide", [360, 1366])
def test_labels_are_read_at_twelve_pixels(
    browser: Browser, shown, shown_address, page: str, wide: int
):
    tab = browser.new_page(viewport={"width": wide, "height": 740})
    tab.goto(f"{shown_address}/visits/{shown.open_visit}/{page}")
    sizes = tab.evaluate("""() => {
      for (const d of document.querySelectorAll("details")) {
        d.removeAttribute("name");
        d.open = true;
      }
      return [...document.querySelectorAll("svg.dw-measure text, svg.dw-look text")].map(
        (t) => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a);
    }""")
    assert len(sizes) > 5
    assert min(sizes) >= 12
    assert tab.evaluate("document.documentElement.scrollWidth <= innerWidth")
    tab.close()
