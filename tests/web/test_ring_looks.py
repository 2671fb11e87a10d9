"""A picture of a soft ring proposes its height in the stack's form; saved, it is judged as said."""

from __future__ import annotations

import re

from wetend.pump.readings import VisitStart
from wetend.workflows import visits
from wetend.workflows.desk import Desk


def test_choosing_a_flattened_ring_proposes_its_height_and_saving_condemns_it(person, site):
    visit = visits.start(Desk(site.depot, who="R. Okafor (invented)"), VisitStart(pump=site.pump))
    page = f"/visits/{visit}/rebuild"
    name = re.search(r"like=([a-z-]+)-flat", person.get(page).text)[1]
    text = person.get(f"{page}?like={name}-flat").text
    assert "Proposal, nothing saved yet" in text
    assert text.count("Proposed by the picture: measure, then correct it") == 1
    assert Desk(site.depot).visit(visit).stack is None
    height = re.search(rf'name="heights.{name}" value="([\d.]+)"', text)[1]
    saved = person.send(page, {f"heights.{name}": height, "_units": "metric"}).text
    assert "It is pressed flat for good: fit a new one." in saved
    assert person.get(f"{page}?like=banana").status_code == 404
