"""What has to be seen before a tool is lifted stands on the first screen of every step."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, Page

from wetend.pump.make_safe import all_done
from wetend.pump.readings import ToolBag, VisitStart
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump
from wetend.workflows import job, pumps, strip, visits, zero
from wetend.workflows.desk import Desk

pytestmark = pytest.mark.browser

WHO = "R. Okafor"
WIDTHS, TALL = (320, 360, 412), 740
BIG = "--blink-settings=defaultFontSize=20"
"""Text a quarter larger, as browsers offer it."""
LEAST = 110
"""Least height in pixels that a picture keeps beside four cautions in big text."""
_STEPS = """() => [...document.querySelectorAll('#screens > li[data-key]')].map(step => {
  for (const other of document.querySelectorAll('#screens > li')) other.hidden = other !== step;
  scrollTo(0, 0);
  const box = of => of.getBoundingClientRect();
  const drawn = step.querySelector('.act svg.dw-act');
  const button = [...step.querySelectorAll('.do')].find(each => each.offsetParent);
  const cautions = [...step.querySelectorAll('.caution')].map(each => ({
    top: box(each).top, bottom: box(each).bottom, cut: each.scrollHeight > each.clientHeight + 1,
    whole: !each.closest('details'), grade: each.className.split(' ')[1]}));
  return {key: step.dataset.key, title: box(step.querySelector('h2')).top, cautions,
    picture: drawn && {top: box(drawn).top, bottom: box(drawn).bottom},
    bar: box(step.querySelector('.steerage')).top, wide: document.documentElement.scrollWidth,
    button: {top: box(button).top, bottom: box(button).bottom}};
})"""


@dataclass
class Stages:
    """Addresses of strip and rebuild of both demo pumps, made safe, with every tool."""

    desk: Desk
    visits: dict[str, str]
    address: str

    def open(self, browser: Browser, pump: str, stage: str) -> Page:
        context = browser.new_context(viewport={"width": 360, "height": TALL})
        context.add_cookies([{"name": "wetend-who", "value": WHO.replace(" ", "%20"),
                              "url": self.address}])  # fmt: skip
        page = context.new_page()
        page.goto(f"{self.address}/visits/{self.visits[pump]}/{stage}/steps")
        return page


@pytest.fixture
def stages(site, address) -> Stages:
    desk, made = Desk(site.depot, who=WHO), {}
    known = {line.pump.key for line in pumps.list_pumps(desk)}
    for key in DEMO_PUMPS:
        if key not in known:
            pumps.describe(desk, demo_pump(key))
        made[key] = visits.start(desk, VisitStart(pump=key))
        tools = tuple(t for t in strip.view(desk, made[key]).tools if t != "vice")
        strip.save_bag(desk, made[key], ToolBag(tools=tools, vice=True))
        zero.save_list(desk, made[key], all_done(demo_pump(key).drive.kind))
    return Stages(desk, made, address)


def _off_screen(page: Page, mode: str) -> list[str]:
    """What of which step does not stand on the first screen."""
    wrong = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": TALL})
        steps = page.evaluate(_STEPS)
        assert len(steps) > 15
        for step in steps:
            where = f"{step['key']} at {width} px, {mode}"
            bar = step["bar"]
            if not 0 < step["title"] < bar or step["wide"] > width:
                wrong.append(f"title of {where}")
            if not (bar < step["button"]["top"] and step["button"]["bottom"] <= TALL):
                wrong.append(f"button of {where}")
            if any(not 0 < c["top"] <= c["bottom"] <= bar for c in step["cautions"]):
                wrong.append(f"cautions of {where}")
            drawn = step["picture"]
            if drawn and not (drawn["bottom"] <= bar and drawn["bottom"] - drawn["top"] > LEAST):
                wrong.append(f"picture of {where}: {drawn} above {bar}")
            whole = [c for c in step["cautions"] if c["whole"]]
            grades = {c["grade"] for c in step["cautions"]}
            gravest = next((g for g in ("danger", "warning", "care") if g in grades), "")
            if grades and (whole[0]["grade"] != gravest or whole[0]["cut"]):
                wrong.append(f"gravest caution of {where}")
    return wrong


def _all_off_screen(
    stages: Stages, browser: Browser, mode: str, names: tuple[str, ...]
) -> list[str]:
    wrong = []
    for pump in stages.visits:
        for stage in ("strip", "rebuild"):
            page = stages.open(browser, pump, stage)
            wrong += _off_screen(page, f"{pump} {stage} {mode}")
            for name in names:
                page.evaluate(
                    "name => { document.documentElement.className = `live ${name}`; }", name
                )
                wrong += _off_screen(page, f"{pump} {stage} {mode} {name}")
            page.context.close()
    return wrong


def test_title_cautions_picture_and_button_stand_on_the_first_screen(browser, stages):
    assert _all_off_screen(stages, browser, "", ("sun", "big")) == []


def test_where_the_browser_is_set_to_larger_text_too(launch, stages):
    big = launch(BIG)
    assert _all_off_screen(stages, big, "larger text", ("sun",)) == []
    big.close()


def test_what_is_shortened_opens_whole_by_a_tap(browser, stages):
    page = stages.open(browser, "quay-air", "strip")
    rest = page.locator(".screen:visible .rest")
    line = rest.locator(".caution > span").first
    before = line.evaluate("e => e.scrollWidth > e.clientWidth")
    rest.locator("summary").click()
    assert before
    assert not line.evaluate("e => e.scrollWidth > e.clientWidth")
    page.context.close()


def test_with_a_mixed_coating_the_clock_stands_above_and_the_picture_still_shows(browser, stages):
    visit = stages.visits["quay-air"]
    coating = next(c for c in demo_coatings() if c.pot_life is not None)
    visits.choose_coating(stages.desk, visit, coating)
    job.mixed(stages.desk, visit)
    page = stages.open(browser, "quay-air", "strip")
    assert page.locator("main > .cautions").is_visible()
    page.set_viewport_size({"width": 360, "height": TALL})
    low = [s["key"] for s in page.evaluate(_STEPS)
           if s["picture"]["bottom"] > s["bar"] and len(s["cautions"]) < 4]  # fmt: skip
    assert low == []
    page.context.close()
