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
