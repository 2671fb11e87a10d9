"""Pumps and coatings in TOML: read, written, refused with one sentence."""

from __future__ import annotations

import json

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput, NotFound, TooLarge
from wetend.pump.toml import (
    DEMO_PUMPS,
    coatings_from_toml,
    demo_coatings,
    demo_pump,
    pump_from_toml,
    pump_schema,
    to_toml,
)

QUAY = demo_pump("quay-air")
# text that can be kept: nothing that no file can carry, no control characters
TEXT = st.text(
    st.characters(exclude_categories=("Cs", "Cc"), exclude_characters="\ufffe\uffff",
                  include_characters="\t\x7f\x85"),
    max_size=40,
)  # fmt: skip


@pytest.mark.parametrize("key", DEMO_PUMPS)
def test_a_pump_written_and_read_again_is_the_same(key: str) -> None:
    pump = demo_pump(key)
    assert pump_from_toml(to_toml(pump)) == pump


@costly(50)
@given(name=TEXT.filter(lambda t: 0 < len(t.strip()) <= 80), site=TEXT)
def test_any_text_survives_the_toml(name: str, site: str) -> None:
    data = {**QUAY.model_dump(), "name": name, "site": site}
    pump = type(QUAY).model_validate(data)
    assert pump_from_toml(to_toml(pump)) == pump


def test_a_coating_written_and_read_again_is_the_same() -> None:
    for coating in demo_coatings():
        assert coatings_from_toml("[[coating]]\n" + to_toml(coating)) == (coating,)


def test_units_are_read_as_people_type_them() -> None:
    text = to_toml(QUAY)
    typed = text.replace(f"bore = {QUAY.cylinder.bore!r}", 'bore = "1.496063 in"', 1)
    assert pump_from_toml(typed).cylinder.bore == pytest.approx(0.038, rel=1e-6)


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("key = ", "not valid TOML"),
        ("= = =", "not valid TOML"),
        ("", "key"),
        ('key = "x"', "stroke is required"),
        ("\x00", "not valid TOML"),
        ("[" * 5000, "not valid TOML"),
    ],
)
def test_a_file_that_cannot_be_read_gets_one_sentence(text: str, named: str) -> None:
    with pytest.raises(BadInput, match=named) as error:
        pump_from_toml(text)
    assert "\n" not in str(error.value)


def test_a_number_out_of_range_names_its_field() -> None:
    text = to_toml(QUAY).replace(f"stroke = {QUAY.stroke!r}", "stroke = 80.0", 1)
    with pytest.raises(BadInput, match="stroke"):
        pump_from_toml(text)


def test_a_field_not_known_is_named() -> None:
    with pytest.raises(BadInput, match="bogus"):
        pump_from_toml("bogus = 1\n" + to_toml(QUAY))


def test_a_field_left_out_is_named() -> None:
    text = to_toml(QUAY).replace(f"stroke = {QUAY.stroke!r}\n", "", 1)
    with pytest.raises(BadInput, match="stroke is required"):
        pump_from_toml(text)


@pytest.mark.parametrize("number", ["nan", "inf", "-inf"])
def test_numbers_that_are_none_are_refused(number: str) -> None:
    text = to_toml(QUAY).replace(f"stroke = {QUAY.stroke!r}", f"stroke = {number}", 1)
    with pytest.raises(BadInput, match="stroke"):
        pump_from_toml(text)


def test_a_huge_file_is_refused_before_it_is_read() -> None:
    with pytest.raises(TooLarge):
        pump_from_toml("# " + "x" * 200_001)


@pytest.mark.parametrize("text", ["coating = 3", "[coating]\nkey = 'x'", "[[coating]]"])
def test_coatings_that_cannot_be_read(text: str) -> None:
    with pytest.raises(BadInput):
        coatings_from_toml(text)
    assert coatings_from_toml("") == ()


def test_there_are_two_demo_pumps_of_different_build() -> None:
    quay, yard = (demo_pump(k) for k in DEMO_PUMPS)
    assert {quay.stack.held_by, yard.stack.held_by} == {"thread", "clamp-ring"}
    assert {quay.drive.kind, yard.drive.kind} == {"air", "hydraulic"}
    with pytest.raises(NotFound, match="quay-air and yard-hydraulic"):
        demo_pump("../../etc/passwd")


def test_the_schema_is_one_of_draft_2020_12_and_knows_every_section() -> None:
    schema = pump_schema()
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert set(schema["required"]) >= {"cylinder", "rod", "stack", "strip"}
    assert json.loads(json.dumps(schema)) == schema
