"""Fields under names that lied once: what was kept then is read rightly, and what is typed too."""

from __future__ import annotations

from datetime import date

import pytest

from wetend.errors import BadInput
from wetend.pump.readings import SetUpRequest
from wetend.pump.site import Incident
from wetend.pump.usage import Usage
from wetend.records.entries import Entry, said_by
from wetend.records.ids import new_id
from wetend.units.fields import read
from wetend.units.noun import overlaid

DAYS = {"first": "2031-05-01", "last": "2031-05-31"}


def kept_then(kind: str, payload: str, visit: str | None = None) -> Entry:
    """An entry as an earlier version wrote it."""
    return Entry(id=new_id(), kind=kind, pump="quay-air", visit=visit, at="2031-06-01T12:00:00Z",
                 version="0.1.0", payload=payload)  # fmt: skip


def test_a_use_kept_as_litres_and_hours_holds_what_it_held() -> None:
    """They were named so and held cubic metres and seconds."""
    said = said_by(kept_then("usage", (
        '{"first":"2031-05-01","last":"2031-05-31","cycles":null,"litres":0.42,"hours":7200.0,'
        '"area":null,"coating":"alkyd-topcoat","abrasiveness":null,"pressure":null,"note":""}'
    )))  # fmt: skip
    assert said == Usage(first=date(2031, 5, 1), last=date(2031, 5, 31), pumped=0.42,
                         at_work=7200.0, coating="alkyd-topcoat")  # fmt: skip
    assert '"pumped":0.42' in said.model_dump_json()
    assert "litres" not in said.model_dump_json()


def test_what_was_said_since_a_repack_keeps_its_meaning_and_its_correction() -> None:
    said = said_by(kept_then("set-up", '{"litres_since_repack":0.9}', new_id()))
    assert said == SetUpRequest(pumped_since_repack=0.9)
    assert said.model_fields_set == {"pumped_since_repack"}
    assert overlaid(said, SetUpRequest(pumped_since_repack=None)).pumped_since_repack is None


@pytest.mark.parametrize("system", ["metric", "imperial"])
def test_litres_typed_are_litres_for_every_reader(system) -> None:
    # a litre is 0.001 m3 and an hour 3600 s by definition
    said = read(Usage, {**DAYS, "litres": "420", "hours": "2"}, system=system)
    assert said.pumped == pytest.approx(0.42)
    assert said.at_work == pytest.approx(7200.0)
    assert read(Usage, {**DAYS, "litres": "100 gal"}, system=system).pumped == pytest.approx(
        0.3785411784  # a US gallon is 3.785411784 L by definition
    )


def test_pumped_typed_is_in_the_unit_of_its_label() -> None:
    assert read(Usage, {**DAYS, "pumped": "420"}, system="metric").pumped == pytest.approx(0.42)
    assert read(Usage, {**DAYS, "pumped": "100"}, system="imperial").pumped == pytest.approx(
        0.3785411784
    )


def test_what_is_no_number_of_litres_is_refused_with_its_label() -> None:
    with pytest.raises(BadInput, match="Pumped: “lots”"):
        read(Usage, {**DAYS, "litres": "lots"}, system="metric")


def test_who_was_informed_of_an_incident_is_read_under_its_earlier_name() -> None:
    said = said_by(kept_then("incident", '{"said":"hose burst","told":"the foreman"}'))
    assert said == Incident(said="hose burst", informed="the foreman")
    assert '"informed":"the foreman"' in said.model_dump_json()
