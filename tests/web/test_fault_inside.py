"""The page of a fault: a picture of what happens inside, on every fault."""

from __future__ import annotations

import re

import pytest

from wetend.advice.faults.tables import FAULTS


@pytest.mark.parametrize("key", [fault.id for fault in FAULTS])
def test_every_fault_has_its_page_with_a_picture_and_its_sentence(reader, key):
    text = reader.get(f"/faults/{key}?pump=quay-air").text
    assert text.count("data-column=") == 2
    lead = re.search(r'<p class="lead">([^<]+)</p>', text)
    assert lead
    assert re.match(r"Going (up|down), \d+ % of the way: .*in the sound pump", lead[1])
    assert "What to look at first" in text
    assert f"/faults/{key}" in reader.get("/faults").text


def test_the_likeliest_faults_of_the_checks_lead_to_theirs(reader, shown):
    text = reader.get(f"/visits/{shown.open_visit}/checks").text
    links = re.findall(r'href="(/faults/[^"]+)"', text)
    assert links
    assert "What happens inside" in reader.get(links[0].replace("&amp;", "&")).text


def test_a_fault_or_pump_that_is_not_there_says_so(reader):
    assert reader.get("/faults/rust").status_code == 404
    assert reader.get("/faults/air?pump=nowhere").status_code == 404
