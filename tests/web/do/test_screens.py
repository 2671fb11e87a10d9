"""Every screen of an act in Chromium: entry and button in the first view; faults; keys."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from urllib.parse import quote

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from tests.web.axe import faults_at
from tests.web.conftest import WHO, SiteServer

from wetend.advice.strip.bag import tool_titles
from wetend.pump.make_safe import MakeSafe, all_done
from wetend.pump.readings import CheckReadings, ToolBag, VisitStart
from wetend.workflows import checks, strip, visits, zero
from wetend.workflows.acts.act import Act
from wetend.workflows.acts.queue import acts_of
from wetend.workflows.desk import Desk

pytestmark = [pytest.mark.browser, pytest.mark.usefixtures("midday")]
WIDTHS = (320, 360, 412)
HEIGHT = 740
LARGE = "--blink-settings=defaultFontSize=20"
"""Letters set a quarter larger in the browser itself, as a person sets them."""
_MODE = "(mode) => { document.documentElement.className = mode; }"
_SEEN = """() => {
  const shown = (e) => e && e.checkVisibility({ contentVisibilityAuto: true });
  const box = (e) => e.getBoundingClientRect();
  const bar = document.querySelector('.thumb');
  const found = [];
  const high = window.innerHeight;
  const button = [...bar.querySelectorAll('.do, .button')].find(shown);
  if (box(button).top < 0 || box(button).bottom > high + 1) found.push('button');
  const answers = [...bar.querySelectorAll('.answers .do')].filter(shown);
  const entry = [...document.querySelectorAll(
    '#tap-pad, form.act .entry input:not([type=hidden]), form.act .entry select,' +
    'form.act .entry textarea')].find(shown);
  if (answers.length) {
    if (answers.some((a) => box(a).bottom > high + 1)) found.push('answers');
  } else if (entry) {
    const whole = box(entry.closest('.option') ?? entry);
    const end = bar.contains(entry) ? high : box(bar).top;
    if (whole.top < 0 || whole.bottom > end + 1) found.push('entry');
  }
  if (document.documentElement.scrollWidth > window.innerWidth) found.push('too wide');
  if (document.querySelectorAll('.one .caution').length -
      document.querySelectorAll('.one details .caution').length > 1) found.push('cautions');
  return found;
}"""


@pytest.fixture(scope="module", params=["air", "hydraulic"])
def screens(request: pytest.FixtureRequest, stand) -> Iterator[tuple[str, list[Act]]]:
    """A visit to a demo pump that has readings, tools and zero proven: where, and its acts."""
    with stand.opened() as site:
        desk = Desk(site.depot, who=WHO)
        pump = _pump(desk, request.param)
        visit = visits.start(desk, VisitStart(pump=pump))
        visits.choose_coating(desk, visit, desk.coatings()[0])
        checks.save(desk, visit, CheckReadings(up_times=(1.29, 1.24), down_times=(0.8, 0.82)))
        strip.save_bag(desk, visit, ToolBag(tools=tuple(tool_titles()), vice=True))
        drive = desk.visit(visit).pump.drive.kind
        blocked = all_done(drive).model_copy(update={"blockage": "suspected"})
        zero.save_list(desk, visit, blocked)
        list_acts = [a for a in acts_of(desk, visit).acts if a.stage == "make-safe"]
        zero.save_list(desk, visit, MakeSafe.model_validate(
            all_done(drive).model_dump() | {"blockage": "cleared", "clearing": (
                "trigger-locked", "guard-off", "hose-loosened", "waited")}
        ))  # fmt: skip
        assert zero.zero_of(desk.visit(visit), WHO).stands
        acts = [a for a in acts_of(desk, visit).acts if not a.path]
        assert {a.name for a in list_acts} <= {a.name for a in acts}
        server = SiteServer(site)
        yield f"{server.address}/visits/{visit}/do", acts
        server.end()


def _pump(desk: Desk, kind: str) -> str:
    from_depot = (desk.pump(e.pump) for e in desk.depot.entries(kinds=("pump-described",)))
    return next(p.key for p in from_depot if p.drive.kind == kind)


def _context(browser: Browser, address: str, **more: object) -> BrowserContext:
    context = browser.new_context(viewport={"width": 360, "height": HEIGHT}, **more)
    origin = "/".join(address.split("/")[:3])
    context.add_cookies([{"name": "wetend-who", "value": quote(WHO), "url": origin}])
    return context


def _hidden(page: Page, modes: tuple[str, ...]) -> Iterator[tuple[str, int, str]]:
    """What lies outside the first view, in every mode at every width."""
    for mode in modes:
        page.evaluate(_MODE, mode)
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": HEIGHT})
            page.evaluate("scrollTo(0, 0)")
            for what in page.evaluate(_SEEN):
                yield mode, width, what


def _outside(browser: Browser, base: str, acts: list[Act], modes: tuple[str, ...]) -> list[object]:
    context = _context(browser, base)
    page = context.new_page()
    found: list[object] = []
    for act in acts:
        page.goto(f"{base}/{act.name}")
        found += [(act.name, *each) for each in _hidden(page, modes)]
    context.close()
    return found


def test_entry_and_button_of_every_act_are_in_the_first_view(
    browser: Browser, screens: tuple[str, list[Act]]
) -> None:
    assert _outside(browser, *screens, modes=("", "sun", "big", "sun big")) == []


def test_they_are_with_large_letters_too(
    launch: Callable[..., Browser], screens: tuple[str, list[Act]]
) -> None:
    large = launch(LARGE)
    assert _outside(large, *screens, modes=("",)) == []
    large.close()


KINDS = (
    "complaint/crew", "checks/coating", "checks/strokes", "checks/gauge-spray", "checks/wet-cup",
    "make-safe/bonded", "make-safe/needle", "strip/bag", "inspect/foot-seat", "inspect/fitted",
    "rebuild/heights", "rebuild/tin", "prove/guards", "handover/sign",
)  # fmt: skip
"""An act of every kind of screen."""


def test_no_kind_of_screen_has_a_serious_fault(
    browser: Browser, screens: tuple[str, list[Act]]
) -> None:
    """Everything opened, on a screen so high that the bar at its foot covers none of it."""
    base, _ = screens
    context = _context(browser, base)
    page = context.new_page()
    found: list[object] = []
    for name in (*KINDS, "list"):
        page.goto(f"{base}/{name}")
        page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
        found += [(name, *fault) for fault in faults_at(page, 360, height=2400)]
        found += [(name, *fault) for fault in faults_at(page, 360, height=2400, sun=True)]
    context.close()
    assert found == []


def test_an_act_is_done_by_keys_alone_and_without_script(
    browser: Browser, screens: tuple[str, list[Act]]
) -> None:
    base, _ = screens
    context = _context(browser, base, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{base}/checks/gauge-spray")
    box = page.get_by_label("Gauge while spraying")
    for _ in range(30):
        page.keyboard.press("Tab")
        if box.evaluate("(e) => e === document.activeElement"):
            break
    page.keyboard.type("190")
    page.keyboard.press("Enter")
    expect(page.get_by_text("Saved: Read the gauge while spraying")).to_be_visible()
    undo = page.get_by_role("button", name="Undo")
    undo.focus()
    page.keyboard.press("Enter")
    expect(page.get_by_text("Taken back.")).to_be_visible()
    expect(page.get_by_label("Gauge while spraying")).to_have_value("")
    page.goto(f"{base}/checks/strokes")
    expect(page.get_by_label("Up-stroke times")).to_be_visible()
    expect(page.locator("#tap-pad")).to_be_hidden()
    context.close()
