"""The gate on a phone without connection: it shuts itself, and marks count by when they were made.

The server itself is stopped, so that nothing but the device's own copy can answer.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from urllib.parse import quote

import pytest
from playwright.sync_api import Browser, Page, expect

from wetend.pump.make_safe import PumpRan, all_done
from wetend.pump.readings import ToolBag, VisitStart
from wetend.pump.toml import demo_pump
from wetend.workflows import pumps, strip, visits, zero
from wetend.workflows.desk import Desk

pytestmark = pytest.mark.browser
WHO = "R. Okafor (invented)"
COPY = """async (path) => {
  for (const name of await caches.keys()) {
    if (await (await caches.open(name)).match(path)) return true;
  }
  return false;
}"""


@pytest.fixture
def server(site, serving):
    return serving(site.depot)


def _phone(browser: Browser) -> Page:
    context = browser.new_context(viewport={"width": 360, "height": 740})
    context.add_cookies([{"name": "wetend-who", "value": quote(WHO), "url": "http://127.0.0.1"}])
    return context.new_page()


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    page = _phone(browser)
    yield page
    page.context.close()


@pytest.fixture
def desk(site) -> Desk:
    return Desk(site.depot, who=WHO)


@pytest.fixture
def visit(desk: Desk) -> str:
    """A visit made safe, with every tool told."""
    if "quay-air" not in {line.pump.key for line in pumps.list_pumps(desk)}:
        pumps.describe(desk, demo_pump("quay-air"))
    made = visits.start(desk, VisitStart(pump="quay-air"))
    tools = tuple(t for t in strip.view(desk, made).tools if t != "vice")
    strip.save_bag(desk, made, ToolBag(tools=tools, vice=True))
    zero.save_list(desk, made, all_done("air"))
    return made


def _open(page: Page, server, visit: str) -> list[str]:
    """Open the strip's steps and wait until the device has its copy; their keys."""
    path = f"/visits/{visit}/strip/steps"
    page.goto(server.address + path)
    give_up = time.monotonic() + 20
    while not page.evaluate(COPY, path):
        assert time.monotonic() < give_up
        page.wait_for_timeout(50)
    return page.eval_on_selector_all("[data-key]", "all => all.map(e => e.dataset.key)")


def _step_on(page: Page, times: int) -> None:
    for _ in range(times):
        page.locator(".screen:visible").get_by_role("button", name="Done, next").click()


def _done(desk: Desk, visit: str) -> tuple[str, ...]:
    return strip.view(desk, visit).done


def _online(page: Page, server) -> None:
    server.start()
    page.evaluate("dispatchEvent(new Event('online'))")


def _shut(page: Page, why: str) -> None:
    expect(page.locator("#shut")).to_be_visible()
    expect(page.locator("#shut-why")).to_contain_text(why)
    expect(page.get_by_role("button", name="Done, next")).to_have_count(0)
    expect(page.locator("#zero .verdict")).to_be_hidden()


def test_the_copy_says_who_proved_zero_and_shuts_itself_on_another_day(
    desk, visit, server, phone: Page
):
    _open(phone, server, visit)
    server.stop()
    phone.reload()
    expect(phone.locator("#kept")).to_contain_text("the copy saved on this device")
    expect(phone.locator("#zero")).to_contain_text(f"Zero proven by {WHO}, ")
    expect(phone.locator("#shut")).to_be_hidden()
    _step_on(phone, 1)
    phone.clock.set_fixed_time(datetime.now().astimezone() + timedelta(days=1))
    phone.get_by_role("button", name="Done, next").click()  # the page stood open over midnight
    _shut(phone, f"Zero proven by {WHO}, ")
    _shut(phone, "That was on another day")
    expect(phone.locator("#count-done")).to_have_text("1")
    phone.reload()
    _shut(phone, "That was on another day")
    assert _done(desk, visit) == ()


def test_readings_entered_on_this_device_shut_its_copy_and_the_server_may_open_it_again(
    desk, visit, server, phone: Page
):
    path = f"{server.address}/visits/{visit}/strip/steps"
    _open(phone, server, visit)
    phone.goto(f"{server.address}/visits/{visit}/checks")
    phone.fill("#readings-spray_pressure", "not a pressure")
    phone.locator("#readings button.do").first.click()
    expect(phone.locator("#readings .faults")).to_be_visible()  # not kept
    phone.goto(path)
    expect(phone.get_by_role("button", name="Done, next").first).to_be_visible()
    expect(phone.locator("#shut")).to_be_hidden()
    phone.goto(f"{server.address}/visits/{visit}/checks")
    phone.fill("#readings-spray_pressure", "200")
    phone.locator("#readings button.do").first.click()
    phone.wait_for_url("**saved=1**")
    server.stop()
    phone.goto(path)
    expect(phone.locator("#kept")).to_contain_text("the copy saved on this device")
    _shut(phone, "Pressure has been reported on this device since")
    server.start()
    zero.save_list(desk, visit, all_done("air"))
    phone.goto(path)
    expect(phone.locator("#shut")).to_be_hidden()
    _step_on(phone, 1)
    expect(phone.locator("#kept")).to_have_text("All saved.")


def test_that_the_pump_ran_is_noted_without_connection_and_counts_from_then(
    desk, visit, server, phone: Page
):
    keys = _open(phone, server, visit)
    server.stop()
    _step_on(phone, 2)
    phone.locator("#zero summary").first.click()
    phone.get_by_label("What brought the pressure back").fill("flushed the hose")
    phone.get_by_role("button", name="The pump ran again: zero no longer holds").click()
    _shut(phone, "Pressure has been reported on this device since")
    phone.reload()
    _shut(phone, "Pressure has been reported on this device since")
    noted = datetime.now().astimezone()
    assert desk.visit(visit).entries[-1].kind != "pump-ran"
    phone.wait_for_timeout(1500)
    _online(phone, server)
    give_up = time.monotonic() + 30
    while not (ran := [e for e in desk.visit(visit).entries if e.kind == "pump-ran"]):
        assert time.monotonic() < give_up
        phone.wait_for_timeout(100)
    assert "flushed the hose" in ran[0].payload
    assert ran[0].at < noted  # when it was noted, not when it arrived
    while _done(desk, visit) != tuple(keys[:2]):  # done before the pump ran
        assert time.monotonic() < give_up
        phone.wait_for_timeout(100)
    phone.reload()
    expect(phone.locator("#zero")).to_contain_text("Since then: the pump ran again")


def test_marks_made_after_zero_lapsed_are_named_and_dropped_and_the_others_kept(
    desk, visit, server, phone: Page
):
    keys = _open(phone, server, visit)
    titles = phone.eval_on_selector_all("[data-key] h2", "all => all.map(e => e.textContent)")
    server.stop()
    _step_on(phone, 1)
    phone.wait_for_timeout(1000)
    zero.report_ran(Desk(desk.depot, who="Crew lead (invented)"), visit, PumpRan(why="flushed"))
    phone.wait_for_timeout(1000)
    _step_on(phone, 2)
    expect(phone.locator("#count-done")).to_have_text("3")
    _online(phone, server)
    said = phone.locator("#kept")
    expect(said).to_contain_text(f"Not saved: {titles[1]}; {titles[2]}.", timeout=30_000)
    expect(said).to_contain_text("Since then: the pump ran again: flushed")
    expect(phone.locator("#count-done")).to_have_text("1")
    _shut(phone, "the pump ran again: flushed")
    assert _done(desk, visit) == (keys[0],)
    phone.reload()
    expect(phone.locator("#count-done")).to_have_text("1")
    expect(said).not_to_contain_text("Not saved")  # told once


def test_what_was_refused_while_another_page_was_open_is_told_on_the_page_of_its_steps(
    desk, visit, server, phone: Page
):
    _open(phone, server, visit)
    server.stop()
    zero.report_ran(desk, visit, PumpRan())
    phone.wait_for_timeout(500)
    _step_on(phone, 1)
    server.start()
    phone.goto(server.address)  # any page sends what waits
    phone.wait_for_function(
        "() => !Object.keys(localStorage).some((k) => k.startsWith('marks '))", timeout=30_000
    )
    phone.goto(f"{server.address}/visits/{visit}/strip/steps")
    expect(phone.locator("#kept")).to_contain_text("Not saved: ")
    assert _done(desk, visit) == ()


def test_two_devices_and_the_late_one_loses_only_what_it_did_after_the_other_ran_the_pump(
    desk, visit, server, phone: Page, browser: Browser
):
    late = _phone(browser)
    keys = _open(late, server, visit)
    _open(phone, server, visit)
    late.context.set_offline(True)
    _step_on(late, 2)
    late.wait_for_timeout(1000)
    phone.locator("#zero summary").first.click()
    phone.get_by_role("button", name="The pump ran again: zero no longer holds").click()
    expect(phone.locator("#kept")).to_contain_text("Saved: the pump ran again", timeout=30_000)
    _shut(phone, "the pump ran again")
    late.wait_for_timeout(1000)
    _step_on(late, 1)
    late.context.set_offline(False)
    expect(late.locator("#kept")).to_contain_text("Not saved: ", timeout=30_000)
    _shut(late, "the pump ran again")
    assert _done(desk, visit) == tuple(keys[:2])
    late.context.close()


def test_a_list_sent_without_connection_stays_in_its_form(desk, visit, server, phone: Page):
    zero.report_ran(desk, visit, PumpRan())
    _open(phone, server, visit)
    phone.locator("#zero summary").first.click()
    phone.locator("#make-safe [name=bonded][type=checkbox]").check()
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Save the make-safe list").click()
    expect(phone.locator("#kept")).to_contain_text("the list can't be sent")
    expect(phone.locator("#make-safe [name=bonded][type=checkbox]")).to_be_checked()
    phone.context.set_offline(False)
    phone.get_by_role("button", name="Save the make-safe list").click()
    expect(phone.locator("#zero")).to_contain_text("lines are not ticked")
    expect(phone.locator("#make-safe [name=bonded][type=checkbox]")).to_be_checked()


class _Portal(BaseHTTPRequestHandler):
    """A guest network that answers everything itself until one has logged in."""

    body = b"<!doctype html><title>Guest network</title><h1>Log in to go on</h1>"

    def _answer(self) -> None:
        self.rfile.read(int(self.headers.get("content-length", 0)))
        said, kind = (b"{}", "json") if "json" in self.headers["accept"] else (self.body, "html")
        self.send_response(200)
        self.send_header("content-type", f"{'application' if kind == 'json' else 'text'}/{kind}")
        self.send_header("content-length", str(len(said)))
        self.end_headers()
        self.wfile.write(said)

    do_GET = do_POST = _answer  # noqa: N815

    def log_message(self, *said: object) -> None:
        """Nothing."""


class _PortalServer(ThreadingHTTPServer):
    allow_reuse_port = True  # the depot's server holds it, and listens no more


@contextmanager
def _guest_network(port: int) -> Iterator[None]:
    portal = _PortalServer(("127.0.0.1", port), _Portal)
    thread = Thread(target=portal.serve_forever, daemon=True)
    thread.start()
    try:
        yield
    finally:
        portal.shutdown()
        portal.server_close()
        thread.join()


def test_a_guest_networks_log_in_page_takes_no_mark_and_no_copy_from_the_device(
    desk, visit, server, phone: Page
):
    keys = _open(phone, server, visit)
    here = phone.url
    server.stop()
    port = int(server.address.rpartition(":")[2])
    with _guest_network(port):
        _step_on(phone, 1)
        phone.locator("#zero summary").first.click()
        phone.get_by_role("button", name="The pump ran again: zero no longer holds").click()
        _shut(phone, "Pressure has been reported on this device since")
        phone.evaluate("dispatchEvent(new Event('online'))")
        phone.wait_for_timeout(1000)
        phone.goto(here)  # the copy, and not the log-in page
        expect(phone.locator("#kept")).to_contain_text("1 saved on this device")
        _shut(phone, "Pressure has been reported on this device since")
    _online(phone, server)
    give_up = time.monotonic() + 60
    while _done(desk, visit) != tuple(keys[:1]) or not any(
        e.kind == "pump-ran" for e in desk.visit(visit).entries
    ):
        assert time.monotonic() < give_up
        phone.wait_for_timeout(100)
