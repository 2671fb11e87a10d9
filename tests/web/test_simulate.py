"""The page of a pump in motion: played, safe to ask anything, light, and moved by its script."""

from __future__ import annotations

import csv
import gzip
import io
import json
import re
from collections.abc import Iterator
from urllib.parse import quote

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st
from playwright.sync_api import Page

from wetend.advice.faults.tables import FAULTS, MOTION_FAULTS
from wetend.pump.simulation import GUN_WORDS
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.web import simulate
from wetend.web.static import STATIC
from wetend.workflows import simulate as workflow

from .axe import faults_at

DATA = re.compile(r'id="motion-data">(.*?)</script>', re.DOTALL)
ASKED = "/simulate?pump=quay-air&coating=alkyd-topcoat&fault=foot-valve&size=0.2+mm"


@pytest.fixture(scope="module", autouse=True)
def model() -> None:
    """The model, loaded: on a machine that never ran it, it is compiled first."""
    assert simulate.MODEL.wait(200) is workflow


def _figures(text: str) -> dict[str, str]:
    rows = re.findall(r'<tr[^>]*><th scope="row">([^<]*)</th><td class="n">(.*?)</td>', text)
    return {name: re.sub("<[^>]*>", "", told) for name, told in rows}


def test_a_leaking_foot_valve_quickens_the_down_stroke_and_creeps_down(reader):
    """What the trade says of a foot valve that does not hold (common practice, no source)."""
    answer = reader.get(ASKED)
    assert answer.status_code == 200
    seen = workflow.played(
        demo_pump("quay-air"), next(c for c in demo_coatings() if c.key == "alkyd-topcoat"),
        {"foot-valve": 2e-4}, cycles=1, gun="open",
    )  # fmt: skip
    rows = {row.label: row for row in seen.figures}
    down, creep = rows["down-stroke"], rows["creep down at stall"]
    assert down.this < 0.9 * down.sound
    assert creep.this > 100 * max(creep.sound, 1e-6)
    assert rows["creep up at stall"].this < 1e-6
    assert _figures(answer.text)["Down-stroke"] == f"{down.this:.3g} s"


@pytest.mark.parametrize("gun", GUN_WORDS)
def test_every_fault_of_typical_size_is_played_or_answered(reader, gun: str):
    for name in MOTION_FAULTS:
        path = f"/simulate?pump=yard-hydraulic&coating=epoxy-tank&fault={name}&gun={gun}"
        assert reader.get(path).status_code == 200, path


def test_the_first_page_asks_nothing_and_shows_something(bare):
    answer = bare.get("/simulate")
    assert answer.status_code == 200
    assert "data-motion" in answer.text
    data = json.loads(DATA.search(answer.text)[1])
    assert len(data["columns"]) == 2
    assert data["seconds"] > 0


def test_a_visit_links_to_its_likeliest_fault_in_motion(reader, shown):
    page = reader.get(f"/visits/{shown.closed_visit}/checks").text
    link = re.search(r'href="(/simulate\?[^"]*)"', page)[1].replace("&amp;", "&")
    assert reader.get(link).status_code == 200
    assert f"/simulate?pump={shown.pump}" in reader.get(f"/pumps/{shown.pump}").text


def test_a_practice_pump_given_up_links_to_its_faults_in_motion(reader):
    start = reader.get("/practice/new?pump=quay-air&hidden=set&cause=foot&cause=nozzle")
    give_up = re.search(r'href="([^"]*)"><b>Give up', start.text)[1].replace("&amp;", "&")
    page = reader.get(give_up).text
    link = re.search(r'href="(/simulate\?[^"]*)"', page)[1].replace("&amp;", "&")
    answer = reader.get(link)
    assert answer.status_code == 200
    assert "Foot valve not holding" in answer.text
    assert "nozzle worn" in answer.text


def test_every_fault_the_running_checks_tell_apart_can_be_played(reader):
    for fault in FAULTS:
        answer = reader.get(
            f"/simulate?pump=quay-air&coating=alkyd-topcoat&fault={quote(fault.title)}"
        )
        assert answer.status_code == 200, fault


def test_a_fault_may_go_by_what_the_running_checks_call_it(reader):
    from_checks = reader.get(
        "/simulate?pump=quay-air&coating=epoxy-tank"
        "&fault=piston+valve+or+moving+packings+not+holding"
    ).text
    assert "Moving packings worn, 60.0 µm" in from_checks


def test_what_cannot_be_read_comes_back_with_a_sentence_at_its_field(reader):
    answer = reader.get(f"{ASKED.partition('&size')[0]}&size=three+parsec")
    assert answer.status_code == 422
    assert "three parsec" in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert reader.get("/simulate?pump=no-such-pump").status_code == 422
    assert reader.get("/simulate?fault=no-such-fault").status_code == 422
    assert reader.get("/simulate.csv?size=three+parsec").status_code == 422


def test_the_table_holds_both_pumps_over_the_same_times(reader):
    answer = reader.get(ASKED.replace("/simulate", "/simulate.csv"))
    assert answer.headers["content-type"].startswith("text/csv")
    rows = list(csv.reader(io.StringIO(answer.text)))
    heads, units, body = rows[0], rows[1], [[float(v) for v in row] for row in rows[2:]]
    assert heads[0] == "time"
    assert units[heads.index("this.below")] == "Pa"
    place = [row[heads.index("this.place")] for row in body]
    assert max(place) == pytest.approx(0.08, rel=1e-3)  # the described stroke
    times = [row[0] for row in body]
    assert times == sorted(times)
    assert all(len(row) == len(heads) for row in body)


def test_the_traces_can_be_taken_as_a_drawing(reader):
    answer = reader.get(ASKED.replace("/simulate", "/simulate.svg"))
    assert answer.headers["content-type"].startswith("image/svg+xml")
    assert answer.text.startswith("<svg ")
    assert "<style>" in answer.text


def test_with_all_it_needs_it_weighs_less_than_sixty_kilobytes_on_the_wire(reader):
    shared = sum(
        len(gzip.compress(STATIC[name][0]))
        for name in ("site.css", "keep.js", "marks.js", "motion.js", "motion.css", "icon.svg")
    )
    for more in ("", "&cycles=2", "&gun=pulsed", "&gun=stalled-down"):
        page = reader.get(ASKED + more)
        assert len(gzip.compress(page.content)) + shared < 60_000, more


def test_while_the_model_is_not_there_the_page_says_so_and_comes_again(reader, monkeypatch):
    monkeypatch.setattr(simulate.MODEL, "wait", lambda seconds: None)
    answer = reader.get("/simulate")
    assert answer.status_code == 200
    assert answer.headers["refresh"] == "2"
    assert "once" in answer.text
    assert reader.get("/simulate.csv").status_code == 422


ODD = st.one_of(
    st.text(max_size=40),
    st.sampled_from(["", "0", "-1", "1e308", "nan", "inf", "1 mm", "200 bar", "99 %", "6", "7",
                     "\x00", "<script>", "{{7*7}}", "none", "quay-air", "1" * 400]),
    st.sampled_from(sorted(MOTION_FAULTS)), st.sampled_from(sorted(GUN_WORDS)),
)  # fmt: skip


@costly(25)
@given(
    query=st.dictionaries(
        st.sampled_from(["pump", "coating", "fault", "size", "also", "also_size", "cycles", "gun",
                         "_units", "x", ""]), ODD, max_size=8),
    ending=st.sampled_from(["", ".csv", ".svg"]),
)  # fmt: skip
def test_no_address_breaks_it(reader, query: dict[str, str], ending: str):
    plain = {k: v.encode("utf-8", "replace").decode() for k, v in query.items()}
    answer = reader.get(f"/simulate{ending}", params=plain)
    assert answer.status_code < 500, (plain, answer.text[:200])
    assert "<script>alert" not in answer.text


@pytest.fixture
def reel(browser, shown_address: str) -> Iterator[Page]:
    """The page on a phone."""
    context = browser.new_context(viewport={"width": 360, "height": 780})
    page = context.new_page()
    page.goto(shown_address + ASKED)
    page.wait_for_selector("#reel:not([hidden])")
    yield page
    context.close()


PLACE = """(k) => -Number(document.querySelector(`#motion [data-column="${k}"] [data-move=piston]`)
  .getAttribute('transform').match(/-?[\\d.]+/g)[1])"""
SCRUB = """(at) => { const e = document.getElementById('reel-at'); e.value = at;
  e.dispatchEvent(new Event('input')); }"""


@pytest.mark.browser
def test_scrubbing_moves_the_piston_the_figures_and_the_cursors(reel: Page):
    assert abs(reel.evaluate(PLACE, 0)) < 1
    reel.evaluate(SCRUB, 500)
    assert reel.evaluate(PLACE, 0) > 20
    assert reel.evaluate(PLACE, 0) != reel.evaluate(PLACE, 1)
    assert reel.locator("[data-column='0'] [data-read=below]").text_content().endswith(" bar")
    moved = reel.locator("[data-cursor]").first.get_attribute("transform")
    assert float(re.findall(r"[\d.]+", moved)[0]) == pytest.approx(137, abs=1)
    assert "seconds" in reel.locator("#reel-at").get_attribute("aria-valuetext")


@pytest.mark.browser
def test_the_script_sets_what_the_drawing_itself_sets(browser, shown_address: str):
    """At the first instant the drawing as sent and the drawing as moved are the same."""
    names = ["transform", "fill-opacity", "y", "height"]
    read = """(names) => [...document.querySelectorAll('#motion [data-column] *')].map((e) =>
      [...names.map((n) => e.getAttribute(n)), e.dataset.read ? e.textContent : ''].join('|'))"""
    told = []
    for script in (False, True):
        context = browser.new_context(java_script_enabled=True)
        page = context.new_page()
        if not script:
            page.route("**/motion.js*", lambda route: route.abort())
        page.goto(shown_address + ASKED)
        told.append(page.evaluate(read, names))
        context.close()
    off = [(a, b) for a, b in zip(*told, strict=True) if a != b]
    assert [pair for pair in off if not _near(*pair)] == []


def _near(a: str, b: str) -> bool:
    """The same words with numbers no more than the coding's grain apart."""
    number = re.compile(r"[−-]?\d+(?:\.\d+)?")
    if number.sub("#", a) != number.sub("#", b):
        return False
    return all(
        abs(float(x.replace("−", "-")) - float(y.replace("−", "-"))) <= 0.2
        for x, y in zip(number.findall(a), number.findall(b), strict=True)
    )


@pytest.mark.browser
def test_it_plays_pauses_and_steps(reel: Page):
    reel.select_option("#reel-speed", "1")
    reel.click("#reel-play")
    while reel.evaluate(PLACE, 0) <= 1:
        reel.wait_for_timeout(50)
    reel.click("#reel-play")
    stood = reel.evaluate(PLACE, 0)
    assert stood > 1
    reel.wait_for_timeout(200)
    assert reel.evaluate(PLACE, 0) == stood
    time = float(reel.locator("#reel-time").text_content().split()[0])
    reel.click("#reel-on")
    later = float(reel.locator("#reel-time").text_content().split()[0])
    assert later > time
    reel.click("#reel-back")
    assert float(reel.locator("#reel-time").text_content().split()[0]) <= time


@pytest.mark.browser
def test_it_has_no_serious_fault_and_fits(browser, shown_address: str):
    widths = (360, 320, 1280)
    context = browser.new_context(viewport={"width": widths[0], "height": 780})
    page = context.new_page()
    problems: list[str] = []
    page.on("pageerror", lambda error: problems.append(str(error)))
    page.on("console", lambda said: problems.append(said.text))
    page.goto(shown_address + ASKED)
    page.evaluate("document.querySelectorAll('details').forEach((d) => { d.open = true; })")
    for width in widths:
        page.set_viewport_size({"width": width, "height": 780})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        small = page.evaluate("""() => [...document.querySelectorAll('main button, main select,'
          + ' main a, main input:not([type=hidden]), main summary')].filter((e) => {
            const b = e.getBoundingClientRect();
            return b.width && (b.height < 47.5 || b.width < 47.5); })
          .map((e) => e.outerHTML.slice(0, 80))""")
        assert small == [], width
    assert faults_at(page, *widths) == []
    assert faults_at(page, *widths, sun=True) == []
    assert problems == []
    context.close()


@pytest.mark.browser
def test_without_script_six_moments_stand_there_and_no_dead_controls(browser, shown_address: str):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(shown_address + ASKED)
    assert page.locator("#reel").is_hidden()
    assert page.locator("text=half-way down").count() >= 1
    context.close()
