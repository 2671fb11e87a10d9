"""A step page opened again with no server to reach: the device's copy, and the marks sent later.

The server itself is stopped, which no cache of the browser's own can hide.
"""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, BrowserContext, Page, expect

from wetend.pump.make_safe import all_done
from wetend.pump.measurements import StackMeasured
from wetend.pump.readings import ToolBag, VisitStart
from wetend.pump.toml import demo_pump
from wetend.web.security import PASS_COOKIE
from wetend.workflows import pumps, rebuild, strip, visits, zero
from wetend.workflows.desk import Desk

WHO = "R. Okafor (invented)"


@pytest.fixture
def server(site, serving):
    return serving(site.depot)


def _known(browser: Browser) -> BrowserContext:
    """A phone that knows who works."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    context.add_cookies([{"name": "wetend-who", "value": quote(WHO), "url": "http://127.0.0.1"}])
    return context


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    context = _known(browser)
    yield context.new_page()
    context.close()


def _visit(site) -> str:
    desk = Desk(site.depot, who=WHO)
    if "quay-air" not in {line.pump.key for line in pumps.list_pumps(desk)}:
        pumps.describe(desk, demo_pump("quay-air"))
    made = visits.start(desk, VisitStart(pump="quay-air"))
    tools = tuple(t for t in strip.view(desk, made).tools if t != "vice")
    strip.save_bag(desk, made, ToolBag(tools=tools, vice=True))
    zero.save_list(desk, made, all_done("air"))
    rebuild.save(desk, made, StackMeasured(tin=(0.5e-3, 0.25e-3), lever=0.6))
    return made


def _done(site, visit: str, stage: str) -> tuple[str, ...]:
    seen = Desk(site.depot).visit(visit)
    kept = seen.progress if stage == "strip" else seen.rebuilt
    return kept.done if kept else ()


def _step_on(page: Page, times: int) -> None:
    for _ in range(times):
        page.locator(".screen:visible").get_by_role("button", name="Done, next").click()


COPY = """async (path) => {
  for (const name of await caches.keys()) {
    const copy = await (await caches.open(name)).match(path);
    if (copy) return (await copy.text()).match(/data-state="done"/g)?.length ?? 0;
  }
  return -1;
}"""


def _copied(page: Page, path: str, done: int) -> None:
    """Wait until the device has its copy, with so many steps done in it."""
    give_up = time.monotonic() + 20
    while page.evaluate(COPY, path) != done:
        assert time.monotonic() < give_up, page.evaluate(COPY, path)
        page.wait_for_timeout(50)


@pytest.mark.browser
@pytest.mark.parametrize("stage", ["strip", "rebuild"])
def test_a_step_page_opens_again_without_a_server_and_its_marks_are_sent_later(
    site, server, phone: Page, stage: str
):
    visit = _visit(site)
    path = f"/visits/{visit}/{stage}/steps"
    phone.goto(server.address + path)
    keys = phone.eval_on_selector_all("[data-key]", "all => all.map(e => e.dataset.key)")
    _copied(phone, path, 0)
    _step_on(phone, 2)
    expect(phone.locator("#kept")).to_have_text("All saved.")
    _copied(phone, path, 2)
    server.stop()
    phone.reload()
    expect(phone.locator("#kept")).to_contain_text("the copy saved on this device")
    expect(phone.locator("#count-done")).to_have_text("2")
    expect(phone.locator(".screen:visible .stepno")).to_contain_text("Step 3 of")
    # dressed as before: one step a screen, the big button as tall as it is with the style loaded
    assert phone.locator(".screen:visible .do:visible").bounding_box()["height"] >= 72
    _step_on(phone, 3)
    expect(phone.locator("#count-done")).to_have_text("5")
    phone.reload()  # and once more, the marks still waiting
    expect(phone.locator("#count-done")).to_have_text("5")
    assert _done(site, visit, stage) == tuple(keys[:2])
    server.start()
    phone.evaluate("dispatchEvent(new Event('online'))")
    expect(phone.locator("#kept")).to_have_text("All saved.", timeout=30_000)
    assert _done(site, visit, stage) == tuple(keys[:5])


@pytest.mark.browser
def test_no_page_but_what_to_do_if_hit_is_kept_besides_and_no_form_is_answered_from_the_device(
    site, server, phone: Page
):
    visit = _visit(site)
    path = f"/visits/{visit}/strip/steps"
    phone.goto(server.address + path)
    _copied(phone, path, 0)
    phone.goto(f"{server.address}/visits/{visit}/complaint")
    phone.goto(f"{server.address}/visits/{visit}/strip")
    kept = phone.evaluate(
        "async () => (await Promise.all((await caches.keys()).map(async (n) =>"
        " (await (await caches.open(n)).keys()).map((r) => r.url)))).flat()"
    )
    places = {re.sub(r"^https?://[^/]+", "", url).partition("?")[0] for url in kept}
    assert path in places
    assert {p for p in places if not p.startswith("/static/")} <= {path, "/injection"}
    scopes = phone.evaluate(
        "async () => (await navigator.serviceWorker.getRegistrations()).map((r) => r.scope)"
    )
    assert server.address + path in scopes
    assert set(scopes) <= {server.address + path, f"{server.address}/injection"}
    server.stop()
    with pytest.raises(Exception, match="ERR_CONNECTION_REFUSED"):
        phone.goto(f"{server.address}/visits/{visit}/strip")
    server.start()


@pytest.mark.browser
def test_the_server_goes_before_the_copy(site, server, phone: Page):
    visit = _visit(site)
    path = f"/visits/{visit}/strip/steps"
    phone.goto(server.address + path)
    _copied(phone, path, 0)
    keys = phone.eval_on_selector_all("[data-key]", "all => all.map(e => e.dataset.key)")
    strip.mark(Desk(site.depot, who=WHO), visit, done=keys[:4])  # from another device
    phone.reload()
    expect(phone.locator("#count-done")).to_have_text("4")
    _copied(phone, path, 4)


@pytest.mark.browser
def test_the_passcode_page_leaves_no_step_page_behind_and_keeps_unsent_marks(
    site, browser, serving
):
    visit, guarded = _visit(site), serving(site.depot, passcode="ferry gate")
    context = _known(browser)
    phone, path = context.new_page(), f"/visits/{visit}/strip/steps"
    phone.goto(guarded.address + path)
    phone.fill("#passcode", "ferry gate")
    phone.get_by_role("button", name="Unlock").click()
    _copied(phone, path, 0)
    guarded.stop()
    _step_on(phone, 1)
    guarded.start()
    context.clear_cookies(name=PASS_COOKIE)  # the week is over
    phone.goto(guarded.address + path)
    expect(phone.locator("#passcode")).to_be_visible()
    _copied(phone, path, -1)
    phone.fill("#passcode", "ferry gate")
    phone.get_by_role("button", name="Unlock").click()
    expect(phone.locator("#count-done")).to_have_text("1")
    expect(phone.locator("#kept")).to_have_text("All saved.", timeout=30_000)
    context.close()


def test_only_the_worker_may_reach_beyond_its_folder_and_only_to_visits(site):
    with TestClient(site.app, base_url="http://localhost") as client:
        worker = client.get("/static/steps-worker.js")
        assert worker.headers["Service-Worker-Allowed"] == "/visits/"
        assert "'self'" in worker.headers["Content-Security-Policy"]
        assert "Service-Worker-Allowed" not in client.get("/static/steps.js").headers
