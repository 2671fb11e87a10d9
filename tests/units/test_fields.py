"""A declared field gives its label, its check and its sentence."""

from typing import Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import Field

from wetend.errors import BadInput
from wetend.units.fields import fields_of, read
from wetend.units.noun import Line, Noun
from wetend.units.quantity import M, Pa, S


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
    assert told["pressure"] == "pressure must be at least 0."
    assert "'air' or 'oil'" in told["kind"]
    assert "no field “cuont”" in told["cuont"]


def test_limits_are_said_in_a_unit() -> None:
    with pytest.raises(BadInput, match="Bore must be at most 1000 mm"):
        read(Thing, {"bore": "3 m"})


def test_blank_is_not_given() -> None:
    with pytest.raises(BadInput, match="Bore is needed"):
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
