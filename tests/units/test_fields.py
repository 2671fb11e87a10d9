"""A declared field gives its label, its check and its sentence."""

from typing import Annotated, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field, ValidationError

from wetend.errors import BadInput
from wetend.units.fields import explain, fields_of, read
from wetend.units.message import Message
from wetend.units.noun import Line, Noun
from wetend.units.quantity import M, Pa, Rad, S


class Thing(Noun):
    """A noun with every shape of field."""

    bore: M = Field(gt=0, le=1, title="Bore")
    pressure: Pa | None = Field(default=None, ge=0)
    times: tuple[S, ...] = ()
    kind: Literal["air", "oil"] = "air"
    ticked: bool = False
    count: int = Field(default=1, ge=1, le=9)
    heights: dict[str, M] = Field(default_factory=dict)
    note: Line = ""


def test_reads_typed_text_in_the_units_of_the_reader() -> None:
    thing = read(
        Thing,
        {"bore": "2", "pressure": "3000", "times": "1.2, 1.3", "ticked": "on", "count": "3",
         "heights.seat": "0.5", "note": "<b>&</b>"},
        system="imperial",
    )  # fmt: skip
    assert thing.bore == pytest.approx(0.0508)
    assert thing.pressure == pytest.approx(20684271.88, rel=1e-6)
    assert thing.times == (1.2, 1.3)
    assert thing.ticked
    assert thing.heights["seat"] == pytest.approx(0.0127)
    assert thing.note == "<b>&</b>"


def test_bare_numbers_are_si_for_commands() -> None:
    assert read(Thing, {"bore": "0.06"}).bore == 0.06


def test_every_fault_is_said_at_once_and_by_field() -> None:
    with pytest.raises(BadInput) as caught:
        read(Thing, {"bore": "two", "pressure": "-3 bar", "kind": "steam", "cuont": "1"})
    told = {p.field: p.sentence for p in caught.value.problems}
    assert told["bore"].startswith("Bore: “two” is not a length")
    assert told["pressure"] == "pressure is -3 bar; it must be at least 0 bar."
    assert "air or oil" in told["kind"]
    assert "no field “cuont”" in told["cuont"]


def test_limits_are_said_in_a_unit() -> None:
    with pytest.raises(BadInput, match="Bore is 3,000 mm; it must be from 0 mm to 1,000 mm"):
        read(Thing, {"bore": "3 m"})


class Sizes(Noun):
    """Numbers with a range, one by one, in a series and in a map."""

    bore: M = Field(default=0.01, ge=0.005, le=0.5)
    turn: Rad = Field(default=1.0, ge=0, le=6.2832)
    cycles: float = Field(default=1.0, ge=1e-6, le=1e12)
    rings: int = Field(default=1, ge=1, le=20)
    times: tuple[Annotated[S, Field(ge=0.01, le=3600)], ...] = ()
    heights: dict[str, Annotated[M, Field(ge=0, le=1)]] = Field(default_factory=dict)


@pytest.mark.parametrize(
    ("typed", "system", "sentence"),
    [
        ({"bore": "3.7e-218"}, None, "bore is 0 mm; it must be from 5 mm to 500 mm."),
        ({"bore": "5e-9"}, None, "bore is 0.000005 mm; it must be from 5 mm to 500 mm."),
        ({"bore": "40"}, "imperial", "bore is 40 in; it must be from 0.1969 in to 19.69 in."),
        ({"bore": "1 km"}, "imperial", "bore: “km” is not a unit of length known here."),
        ({"bore": "4.9999999 mm"}, "metric",
         "bore is 4.9999999 mm; it must be from 5 mm to 500 mm."),
        ({"turn": "2 turns"}, "metric", "turn is 720°; it must be from 0° to 360°."),
        ({"cycles": "1e-300"}, None,
         "cycles is 1e-300; it must be from 0.000001 to 1,000,000,000,000."),
        ({"rings": "9" * 400}, None, "rings is too large; it must be from 1 to 20."),
        ({"times": "1.2, 5000 s"}, None,
         "times: number 2 is 5,000 s; each must be from 0.01 s to 3,600 s."),
        ({"heights.seat": "2"}, None,
         "heights: seat is 2,000 mm; each must be from 0 mm to 1,000 mm."),
    ],
)  # fmt: skip
def test_out_of_range_names_field_value_and_range_in_the_readers_units(
    typed: dict[str, str], system, sentence: str
) -> None:
    with pytest.raises(BadInput) as refused:
        read(Sizes, typed, system=system)
    assert str(refused.value).startswith(sentence)


def test_numbers_from_a_file_are_refused_by_their_path() -> None:
    class Case(Noun):
        """Sizes within sizes."""

        rows: tuple[Sizes, ...]

    with pytest.raises(ValidationError) as refused:
        Case.model_validate({"rows": [{}, {"bore": 2, "times": [1, 0]}]})
    told = {p.sentence for p in explain(refused.value, Case, by_path=True).problems}
    assert told == {"rows.1.bore is 2,000 mm; it must be from 5 mm to 500 mm.",
                    "rows.1.times.1 is 0 s; it must be from 0.01 s to 3,600 s."}  # fmt: skip


def test_what_no_size_can_be_is_zero() -> None:
    """A typed 1e-200 m overflows where it is divided by; nothing measured is so small."""
    assert read(Thing, {"bore": "1", "pressure": "1e-200"}).pressure == 0.0
    assert Thing.model_validate({"bore": 1.0, "pressure": 5e-324}).pressure == 0.0


def test_blank_is_not_given() -> None:
    with pytest.raises(BadInput, match="Bore is required"):
        read(Thing, {"bore": "  "})


def test_fields_tell_forms_what_to_ask() -> None:
    shapes = {f.name: (f.shape, f.many, f.required) for f in fields_of(Thing)}
    assert shapes["bore"] == ("quantity", False, True)
    assert shapes["times"] == ("quantity", True, False)
    assert shapes["kind"][0] == "choice"
    assert shapes["ticked"][0] == "yes-no"
    assert shapes["heights"][0] == "map"


NAMES = st.sampled_from([*Thing.model_fields, "heights.a", "odd"])


@given(st.dictionaries(NAMES, st.text(max_size=40)))
def test_any_form_reads_or_is_refused(typed: dict[str, str]) -> None:
    try:
        told = read(Thing, typed)
    except BadInput as bad:
        told = bad
    assert isinstance(told, Thing) or told.problems


def test_neither_yes_nor_no_is_said() -> None:
    with pytest.raises(BadInput, match="neither yes nor no"):
        read(Thing, {"bore": "1", "ticked": "maybe"})


def test_thousands_in_a_count_are_asked_about() -> None:
    with pytest.raises(BadInput, match="thousands or a decimal comma"):
        read(Thing, {"bore": "1", "count": "1,000"})


class _Other:
    """A reader in whose language every pattern stands in square brackets."""

    system = "metric"

    def gettext(self, message: str) -> str:
        return f"[{message}]"

    def ngettext(self, one: str, many: str, n: int) -> str:
        return self.gettext(one if n == 1 else many)


@pytest.mark.parametrize(
    ("typed", "pattern"),
    [
        ({}, "[{label} is required.]"),
        ({"length": "0.9 m"}, "[{label} is {shown}; it must be from {least} to {most}.]"),
        ({"length": "x"}, "[{label}: {cause}]"),
    ],
)
def test_a_refusal_is_one_pattern_with_its_field_in_it(typed, pattern) -> None:
    """So that a language may put the words in its own order."""

    class Short(Noun):
        length: M = Field(ge=0.001, le=0.1)

    with pytest.raises(BadInput) as bad:
        read(Short, typed)
    said = bad.value.problems[0].sentence
    assert isinstance(said, Message)
    assert said.render(_Other()).startswith("[")
    assert f"[{said.pattern}]" == pattern
