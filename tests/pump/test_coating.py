"""Coatings: enough said to flow, and nothing contradictory."""

from __future__ import annotations

import pickle

import pytest
from pydantic import ValidationError

from wetend.physics.rheology.laws import LAWS, parameters
from wetend.pump.coating import Coating
from wetend.pump.toml import demo_coatings
from wetend.units.fields import fields_of

BASE = {"key": "x", "name": "x", "density": 1300.0}


@pytest.mark.parametrize(
    ("law", "given"),
    [
        ("newtonian", {"viscosity": 0.3}),
        ("newtonian", {"cup": "iso-6mm", "cup_time": 60.0}),
        ("power-law", {"consistency": 3.0, "index": 0.7}),
        ("bingham", {"yield_stress": 6.0, "plastic_viscosity": 0.2}),
        ("herschel-bulkley", {"yield_stress": 6.0, "consistency": 3.0, "index": 0.7}),
    ],
)
def test_each_law_asks_for_its_own_numbers(law: str, given: dict[str, object]) -> None:
    assert Coating.model_validate({**BASE, "law": law, **given}).law == law
    for left_out in given:
        fewer = {k: v for k, v in given.items() if k != left_out}
        with pytest.raises(ValidationError, match=r"needs|together"):
            Coating.model_validate({**BASE, "law": law, **fewer})


def test_a_cup_reading_does_not_make_a_power_law() -> None:
    with pytest.raises(ValidationError, match="consistency and index"):
        Coating.model_validate({**BASE, "law": "power-law", "cup": "iso-6mm", "cup_time": 60.0})


def test_spraying_pressures_in_order() -> None:
    with pytest.raises(ValidationError, match="spray_pressure_low"):
        Coating.model_validate(
            {**BASE, "viscosity": 0.3, "spray_pressure_low": "200 bar",
             "spray_pressure_high": "150 bar"}
        )  # fmt: skip


def test_the_demo_coatings_show_every_law_and_most_grades_of_wear() -> None:
    coatings = demo_coatings()
    laws = {c.law for c in coatings}
    assert laws == {"newtonian", "power-law", "bingham", "herschel-bulkley"}
    assert len({c.abrasiveness for c in coatings}) >= 3


def test_a_coating_goes_to_another_process_and_back() -> None:
    """Its law's fields are made when the program starts; workers of a fleet get it whole."""
    for coating in demo_coatings():
        assert pickle.loads(pickle.dumps(coating)) == coating


def test_each_parameter_of_any_law_is_a_field_with_its_laws_beside_it() -> None:
    fields = {field.name: field for field in fields_of(Coating)}
    for parameter, names in parameters():
        assert all(LAWS[name].title in fields[parameter.name].hint for name in names)
        assert (fields[parameter.name].least, fields[parameter.name].greatest) == parameter.sprayed
    assert fields["law"].choices == tuple(LAWS)
