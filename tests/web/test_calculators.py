"""Calculators as pages: every example works, an address carries its own units."""

from __future__ import annotations

import html
import re

import pytest

from wetend.advice.calculators.catalogue import all_calculators


@pytest.mark.parametrize("calculator", all_calculators(), ids=lambda c: c.name)
def test_every_example_is_worked_out_with_its_working(reader, calculator):
    page = reader.get(f"/calculators/{calculator.name}").text
    link = re.search(r'href="([^"]+)">Fill in the example', page)
    assert link
    answer = reader.get(html.unescape(link[1]))
    assert answer.status_code == 200
    for text in (calculator.source, calculator.title):
        assert text[:40] in html.unescape(answer.text)
    shown = answer.text.partition('id="answer"')[2]
    assert shown.count("<dt>") >= 3


def test_an_address_keeps_its_units_for_whoever_opens_it(reader):
    query = "?diameter=38&clearance=50&length=20&pressure=200&viscosity=280&_units=metric"
    metric = reader.get(f"/calculators/gap-leak{query}")
    reader.send("/preferences", {"units": "imperial"})
    imperial = reader.get(f"/calculators/gap-leak{query}")
    leak = [re.search(r"<dt>Leak</dt><dd>([^<]+)", page.text)[1] for page in (metric, imperial)]
    assert leak[0] == leak[1]  # leaks are read in mL/min in both systems
    assert '<span class="unit">mm</span>' in imperial.text


def test_a_number_that_cannot_be_read_is_said_beside_its_field(reader):
    answer = reader.get("/calculators/gap-leak?diameter=wide&pressure=200")
    assert answer.status_code == 422
    assert "“wide” is not a length" in answer.text
    assert "Not calculated yet" in answer.text


def test_a_field_the_calculator_does_not_have_is_said(reader):
    answer = reader.get("/calculators/gap-leak?colour=red")
    assert answer.status_code == 422
    assert "There is no field" in answer.text


def test_calculators_are_found_without_script(reader):
    page = reader.get("/calculators?q=longest+hose").text
    assert 'href="/calculators/longest-hose"' in page
    assert 'href="/calculators/weibull-fit"' not in page
    assert "<details" in page.partition('id="calcs"')[2]
    assert "No calculator matches" in reader.get("/calculators?q=zebra").text


def test_a_calculator_fills_itself_from_a_pump_and_its_coating(reader):
    filled = reader.get("/calculators/line-loss?from-pump=dry-dock&from-coating=")
    assert filled.status_code == 200
    assert "Filled from Dry dock" in html.unescape(filled.text)
    assert "<svg" in filled.text.partition('id="answer"')[2]
    half = reader.get("/calculators/bucket-test?from-pump=dry-dock")
    assert half.status_code == 200  # cycles and volume are still to be entered
    assert 'value="38 mm"' in half.text
    assert "Enter the inputs" in half.text
    odd = reader.get("/calculators/line-loss?from-pump=no-such")
    assert odd.status_code == 200
    assert "There is no such pump" in html.unescape(odd.text) or "no-such" in odd.text
    assert "from-pump" not in reader.get("/calculators/weibull-fit").text


@pytest.mark.parametrize("stage", ["inspect", "rebuild", "prove", "handover"])
def test_a_working_of_a_visit_opens_its_calculator_with_its_numbers_in(reader, shown, stage):
    page = reader.get(f"/visits/{shown.closed_visit}/{stage}").text
    links = re.findall(r'href="(/calculators/[^"]+)">Change these numbers', page)
    if stage != "inspect":  # measurements fold away behind their parts
        assert links
    for link in sorted(set(map(html.unescape, links)))[:6]:
        answer = reader.get(link)
        assert answer.status_code == 200, link
        needed = "Enter the inputs" not in answer.text
        assert needed or "prove" in stage, link  # a reading not taken is left open


def test_the_calculator_says_what_the_working_said(reader, shown):
    """The same formula by another route: flow at the nozzle, of the set-up sheet."""
    page = reader.get(f"/visits/{shown.closed_visit}/handover").text
    working = page.partition("Show the working: Flow at the nozzle")[2].partition("</details>")[0]
    flow = re.search(r"= Flow.*?<b>([^<]+)</b>", working, re.DOTALL)[1]
    link = html.unescape(re.search(r'href="(/calculators/nozzle-flow[^"]+)"', working)[1])
    assert f"<dd>{flow}</dd>" in reader.get(link).text
