"""Pumps of one build are read once, and each is the same as if read by itself."""

import pytest
from pydantic import ValidationError

from wetend.pump.description import Pump
from wetend.pump.toml import demo_pump
from wetend.records.build_cache import parse_pump

QUAY = demo_pump("quay-air")


def told(**names: str) -> str:
    return QUAY.model_copy(update=names).model_dump_json()


@pytest.mark.parametrize(
    "name", ["Pump 2", 'the "good" one', "back\\slash", "Übung 7", "two\nlines"]
)
def test_each_pump_is_what_it_says(name: str) -> None:
    parse_pump(told(key="first"))
    payload = told(key="second", name=name, site="quay 9")
    assert parse_pump(payload) == Pump.model_validate_json(payload)


def test_pumps_of_one_build_share_their_parts_and_others_do_not() -> None:
    one, two = parse_pump(told(key="one")), parse_pump(told(key="two"))
    assert one.key == "one"
    assert one.strip is two.strip
    other = parse_pump(QUAY.model_copy(update={"key": "three", "stroke": 0.09}).model_dump_json())
    assert other.stroke == 0.09
    assert other.strip is not one.strip


@pytest.mark.parametrize(
    "names", [{"name": "n" * 81}, {"name": ""}, {"key": "No slug"}, {"site": "\x02"}]
)
def test_a_wrong_name_is_refused_though_the_build_is_known(names: dict[str, str]) -> None:
    parse_pump(told())
    with pytest.raises(ValidationError):
        parse_pump(told(**names))


@pytest.mark.parametrize("payload", ["", "[]", "{}", '{"key":"a","name":"b","build":"","site":"",'])
def test_what_is_no_pump_is_refused(payload: str) -> None:
    with pytest.raises(ValidationError):
        parse_pump(payload)
