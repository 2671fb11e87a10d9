"""The site's facts and the pot-life clock on the pages of a visit."""

from __future__ import annotations

import pytest

from wetend.pump.toml import demo_pump
from wetend.workflows import pumps
from wetend.workflows.desk import Desk

from .conftest import cautions_on

STAGES = ("complaint", "checks", "strip", "inspect", "rebuild", "prove", "handover")


@pytest.fixture
def visit(person, site) -> str:
    """A visit just begun at a site of its own."""
    started = person.send(f"/pumps/{site.pump}/visits", {"site": "Dry dock 7"})
    return started.url.path.removesuffix("/complaint")


def test_a_confined_space_stands_once_at_the_head_of_every_stage(person, visit: str) -> None:
    assert not any("Confined space" in c for c in cautions_on(person.get(f"{visit}/checks").text))
    person.send(f"{visit}/site", {"confined_space": "yes", "permit": "CS 114",
                                  "emergency_phone": "01632 960 199"})  # fmt: skip
    for stage in STAGES:
        text = person.get(f"{visit}/{stage}").text
        told = [c for c in cautions_on(text) if "Confined space (permit CS 114)" in c]
        assert len(told) == 1, stage
        assert text.index("Confined space (") < text.index("<section")
        assert 'href="tel:01632960199"' in text


def test_the_next_visit_to_the_site_knows_whom_to_ring_but_needs_its_own_permit(
    person, site, visit: str
) -> None:
    person.send(f"{visit}/site", {"confined_space": "yes", "permit": "CS 114",
                                  "emergency_phone": "01632 960 198"})  # fmt: skip
    again = person.send(f"/pumps/{site.pump}/visits", {"site": " dry  DOCK 7 "})
    text = person.get(again.url.path).text
    assert "01632 960 198" in text
    assert "no permit is recorded" in text
    other = person.send(f"/pumps/{site.pump}/visits", {"site": "Slipway 2"})
    assert "01632 960 198" not in person.get(other.url.path).text


def test_the_clock_runs_from_the_mix_to_the_flush(person, visit: str) -> None:
    person.send(f"{visit}/checks/coating", {"coating": "epoxy-tank"})
    assert "Enter when it was mixed" in person.get(f"{visit}/checks").text
    answer = person.send(f"{visit}/mixed", {"ago": "10", "stage": "handover"})
    assert answer.url.path.endswith("/handover")
    for stage in STAGES:
        (told,) = [c for c in cautions_on(person.get(f"{visit}/{stage}").text) if "Flush by" in c]
        assert "1 h 49 min" in told or "1 h 50 min" in told
    person.send(f"{visit}/mixed", {"ago": "121 min", "stage": "checks"})
    for stage in ("checks", "strip", "handover"):
        assert "flush first" in " ".join(cautions_on(person.get(f"{visit}/{stage}").text))
    person.send(f"{visit}/flushed", {"stage": "checks"})
    text = person.get(f"{visit}/inspect").text
    assert not any("lush" in c for c in cautions_on(text))


def test_a_mix_that_can_not_be_is_refused_in_a_sentence(person, visit: str) -> None:
    assert "Choose the coating first" in person.send(f"{visit}/mixed", {"ago": "5"}).text
    person.send(f"{visit}/checks/coating", {"coating": "alkyd-topcoat"})
    assert "not a two-pack" in person.send(f"{visit}/mixed", {"ago": "5"}).text
    person.send(f"{visit}/checks/coating", {"coating": "epoxy-tank"})
    for wrong in ("-5", "soon", "90 d"):
        assert person.send(f"{visit}/mixed", {"ago": wrong}).status_code == 422
    assert "Flush by" not in person.get(f"{visit}/checks").text


def test_a_coating_described_here_says_what_it_does_to_people(person, visit: str) -> None:
    said = {"name": "Floor seal", "density": "1.1", "law": "newtonian", "viscosity": "200",
            "two_pack": "yes", "isocyanate": "yes", "pot_life": "0.5", "holds_lead": "no",
            "water_borne": "no", "flash_point": "30"}  # fmt: skip
    assert person.send(f"{visit}/coating", said).url.path.endswith("/checks")
    told = cautions_on(person.get(f"{visit}/checks").text)
    assert any("Floor seal contains isocyanate" in c for c in told)
    assert any("30 min at 23 °C" in c for c in told)


def test_a_chlorinated_solvent_is_refused_where_the_pump_has_aluminium(person, site) -> None:
    desk = Desk(site.depot)
    pump = demo_pump("quay-air").model_copy(update={"key": "with-aluminium", "aluminium": "yes"})
    pumps.describe(desk, pump)
    visit = person.send("/pumps/with-aluminium/visits", {}).url.path.removesuffix("/complaint")
    said = {"name": "Stripper", "density": "1.3", "law": "newtonian", "viscosity": "5",
            "solvent": "dichloromethane"}  # fmt: skip
    refused = person.send(f"{visit}/coating", said)
    assert refused.status_code == 422
    assert "the pump can burst" in refused.text
    open_question = pump.model_copy(update={"key": "may-hold", "aluminium": "not known"})
    pumps.describe(desk, open_question)
    visit = person.send("/pumps/may-hold/visits", {}).url.path.removesuffix("/complaint")
    person.send(f"{visit}/coating", said)
    assert any("never in a pump with aluminium" in c
               for c in cautions_on(person.get(f"{visit}/checks").text))  # fmt: skip
