"""Forms made from nouns."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from wetend.errors import BadInput, Problem
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.make_safe import MakeSafe
from wetend.pump.readings import CheckReadings, Complaint, ToolBag
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.records.entries import PAYLOADS
from wetend.web.form_data import read_noun
from wetend.web.forms import Box, FormSpec, Group, Item, Rows, Section, ask, default_texts, texts_of


def boxes(items: tuple[Item, ...]) -> Iterator[Box]:
    for item in items:
        if isinstance(item, Box):
            yield item
        elif isinstance(item, Group):
            yield from boxes(item.items)
        elif isinstance(item, Rows):
            yield from (b for row in item.rows for b in boxes(row.items))


def form_of(noun, texts=None, *, system="metric", **asked):
    shown = texts or default_texts(noun, system)
    return ask(FormSpec(noun, key="f", **asked), "/", shown, system=system)


@pytest.mark.parametrize("kind", PAYLOADS)
def test_every_kind_of_entry_has_a_form_with_ids_of_its_own(kind: str):
    found = list(boxes(form_of(PAYLOADS[kind]).items))
    ids = [b.id for b in found]
    assert len(set(ids)) == len(ids)
    assert all(b.label and b.label[0] == b.label[0].upper() for b in found)


def test_units_follow_the_reader():
    for system, unit in (("metric", "bar"), ("imperial", "psi")):
        found = {b.name: b for b in boxes(form_of(CheckReadings, system=system).items)}
        assert found["spray_pressure"].unit == unit


def test_controls_suit_the_fields():
    found = {b.name: b.control for b in boxes(form_of(Complaint).items)}
    assert found == {
        "said": "lines",
        "seen": "pick-many",
        "since": "line",
        "coating_in_use": "line",
    }
    assert {b.control for b in boxes(form_of(MakeSafe).items)} == {
        "tick", "line", "pick-one", "pick-many",
    }  # fmt: skip
    assert {b.name: b.control for b in boxes(form_of(CheckReadings).items)}["up_times"] == "series"


def test_what_was_typed_stands_as_typed_with_its_sentence_beside_it():
    texts = {"spray_pressure": ("about 200",), "up_times": ("1.4, 1.5",), "note": ("a <b> c",)}
    with pytest.raises(BadInput) as refused:
        read_noun(CheckReadings, texts, "metric")
    form = ask(
        FormSpec(CheckReadings, key="f"),
        "/",
        texts,
        system="metric",
        problems=refused.value.problems,
    )
    found = {b.name: b for b in boxes(form.items)}
    assert {n: found[n].value for n in texts} == {n: t[0] for n, t in texts.items()}
    assert "“about 200” is not a pressure" in found["spray_pressure"].fault
    assert [b.name for b in found.values() if b.fault] == ["spray_pressure"]
    assert form.faults == ((found["spray_pressure"].id, found["spray_pressure"].fault),)


def test_a_problem_of_no_field_is_said_at_the_top():
    form = ask(
        FormSpec(Pump, key="f"),
        "/",
        {},
        system="metric",
        problems=(Problem("input", "the rod must be thinner than the bore"),),
    )
    assert form.faults == (("", "The rod must be thinner than the bore"),)


def test_every_problem_of_a_pump_form_is_shown_somewhere():
    with pytest.raises(BadInput) as refused:
        read_noun(Pump, {"hose.3.bore": ("x",)}, "metric")
    form = ask(
        FormSpec(Pump, key="f"),
        "/",
        {"hose.3.bore": ("x",)},
        system="metric",
        problems=refused.value.problems,
    )
    told = " ".join(sentence for _, sentence in form.faults).lower()
    assert all(p.sentence.lower() in told for p in refused.value.problems)


@pytest.mark.parametrize("coating", demo_coatings(), ids=lambda c: c.key)
def test_a_coating_comes_back_from_its_form(coating: Coating):
    again = read_noun(Coating, texts_of(coating, "imperial"), "imperial")
    for name, value in coating.model_dump().items():
        expected = pytest.approx(value, rel=1e-6) if isinstance(value, float) else value
        assert getattr(again, name) == expected


def test_a_tick_taken_off_is_read_as_no():
    pump = demo_pump("quay-air")
    texts = {**texts_of(pump, "metric"), "foot_valve.reversible": ("no",)}
    again = read_noun(Pump, texts, "metric", given={"strip": pump.strip.model_dump()})
    assert again.foot_valve.reversible is False


def test_a_choice_kept_from_before_stays_though_it_is_no_longer_offered():
    form = form_of(Coating, {"solvent": ("turpentine",)}, choices={"solvent": {"": "None"}})
    box = next(b for b in boxes(form.items) if b.name == "solvent")
    assert [(o.value, o.chosen) for o in box.options] == [("", False), ("turpentine", True)]


def test_a_folded_section_opens_when_something_is_in_it():
    asked = FormSpec(
        CheckReadings,
        key="f",
        sections=(Section("Bucket", ("bucket_volume", "tap_spread"), folded=True),),
    )
    shut = ask(asked, "/", default_texts(CheckReadings, "metric"), system="metric").items[0]
    told = ask(asked, "/", {"bucket_volume": ("12",)}, system="metric").items[0]
    assert isinstance(shut, Group)
    assert isinstance(told, Group)
    assert (shut.open, told.open) == (False, True)


def test_the_tool_bag_offers_its_tools():
    form = form_of(ToolBag, choices={"tools": {"hammer": "Hammer"}})
    tools = next(b for b in boxes(form.items) if b.name == "tools")
    assert (tools.control, [o.label for o in tools.options]) == ("pick-many", ["Hammer"])
