"""One tap from anywhere to what to do about an injection, and near misses recorded at once."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser, expect

from wetend.advice.safety.injection import STEPS
from wetend.pump.site import SiteFacts
from wetend.workflows import incidents, job
from wetend.workflows.desk import Desk

from .test_pages import paths_of


def test_every_page_has_the_way_there_in_its_head(reader, shown) -> None:
    for path in [*paths_of(shown), f"/visits/{shown.open_visit}/strip/steps", "/incidents"]:
        text = reader.get(path).text
        head = text.partition("<main")[0]
        assert 'id="injection" href="/injection' in head, path
        if path.startswith("/visits/"):
            assert f'href="/injection?visit={path.split("/")[2]}"' in head, path


def test_it_says_what_to_do_whom_to_ring_and_what_went_in(person, site) -> None:
    desk = Desk(site.depot)
    job.save_site(desk, site.open_visit, SiteFacts(emergency_phone="01632 960 177"))
    text = person.get(f"/injection?visit={site.open_visit}").text
    for act, means in STEPS:
        assert act in text
        assert means.partition("'")[0] in text
    assert 'href="tel:01632960177"' in text
    coating = desk.visit(site.open_visit).coating
    assert coating.name in text
    assert "bar" in text.partition("Pressure")[2]
    plain = person.get("/injection").text
    assert "01632 960 177" in plain  # of every open visit's site
    assert person.get(f"/injection?visit={'0' * 32}").status_code == 200
    assert person.get("/injection?visit=nonsense").status_code == 200


def test_it_opens_without_the_passcode_and_tells_nothing_of_the_record(guarded) -> None:
    answer = guarded.get("/injection?visit=" + "0" * 32)
    assert answer.status_code == 200
    assert STEPS[0][0] in answer.text
    assert "tel:" not in answer.text
    assert guarded.get("/incidents").status_code == 401
    assert 'id="injection"' in guarded.get("/").text  # the passcode page has the way there too


def test_a_near_miss_is_recorded_with_and_without_a_visit(person, site) -> None:
    desk = Desk(site.depot)
    before = len(incidents.listed(desk))
    assert person.send("/incidents", {"kind": "near miss"}).status_code == 422
    answer = person.send("/incidents", {"kind": "near miss", "said": "Hose <whipped>", "ago": "30"})
    assert answer.url.path == "/incidents"
    assert "Hose &lt;whipped&gt;" in answer.text
    person.send("/incidents", {"kind": "injection under the skin", "visit": site.open_visit,
                               "to_hospital": "yes", "pressure": "200"})  # fmt: skip
    first, second = incidents.listed(desk)[: len(incidents.listed(desk)) - before][:2]
    assert first.entry.visit == site.open_visit
    assert first.incident.pressure == pytest.approx(2e7)
    assert second.entry.visit is None
    assert (second.entry.at - second.happened).total_seconds() == pytest.approx(1800)
    record = person.get(f"/visits/{site.open_visit}/record").text
    assert "Near miss or injury" in record


@pytest.mark.browser
def test_it_opens_on_the_device_without_a_connection(browser: Browser, address, site) -> None:
    """Kept by whatever page was looked at; the open visit's own copy says what went in."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto(f"{address}/visits/{site.open_visit}/checks")
    kept = """async () => {
      for (let i = 0; i < 150; i += 1) {
        const cache = await caches.open("injection");
        const held = (await cache.keys()).map((r) => new URL(r.url));
        const style = held.some((u) => u.pathname.endsWith(".css"));
        if (style && held.some((u) => u.pathname === "/injection" && u.search)) return true;
        await new Promise((done) => setTimeout(done, 100));
      }
      return false;
    }"""
    assert page.evaluate(kept)
    context.set_offline(True)
    page.goto(f"{address}/injection?visit={site.open_visit}")
    expect(page.get_by_text("No food, no drink.")).to_be_visible()
    expect(page.get_by_text("Say at the hospital")).to_be_visible()
    size = page.eval_on_selector(".aid ol li", "e => parseFloat(getComputedStyle(e).fontSize)")
    assert size >= 20  # its style came from the device too
    page.goto(f"{address}/injection?visit={'0' * 32}")  # never opened before: the plain one
    expect(page.get_by_text("No food, no drink.")).to_be_visible()
    context.close()
