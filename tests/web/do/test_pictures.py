"""Each act that reads something on the pump or a part shows where and how."""

from __future__ import annotations

import pytest
from tests.web.conftest import WHO, Person, Site

from wetend.pump.readings import VisitStart
from wetend.web.do.pictures import where_of
from wetend.workflows import visits
from wetend.workflows.acts.queue import acts_of
from wetend.workflows.desk import Desk

pytestmark = pytest.mark.usefixtures("midday")


@pytest.fixture
def visit(site: Site) -> str:
    desk = Desk(site.depot, who=WHO)
    made = visits.start(desk, VisitStart(pump="north-quay"))
    visits.choose_coating(desk, made, desk.coatings()[0])
    return made


def test_every_act_of_checks_parts_heights_and_proof_shows_where(site: Site, visit: str):
    desk = Desk(site.depot, who=WHO)
    seen = acts_of(desk, visit)
    shown = {a.name for a in seen.acts if where_of(a, seen.visit, desk.reader)}
    bare = {a.name for a in seen.acts if a.stage in ("checks", "inspect", "prove")} - shown
    assert bare <= {"checks/coating", "inspect/fitted"}
    assert any(name.startswith("inspect/") for name in shown)
    assert any(name.startswith("prove/") for name in shown)


def test_the_picture_stands_on_the_acts_screen(person: Person, visit: str):
    text = person.get(f"/visits/{visit}/do/checks/gauge-spray").text
    assert '<figure class="act-picture"><svg' in text
    assert text.index('class="caution') < text.index('class="act-picture"')
