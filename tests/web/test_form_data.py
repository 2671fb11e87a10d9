"""Nouns of any depth read from typed texts."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.pump.readings import CheckReadings, Complaint
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.web.form_data import clean, read_noun, slug_of, with_key
from wetend.web.forms import texts_of


def flat(value: object, path: str = "") -> dict[str, object]:
    """Every leaf of a dumped noun by its path."""
    if isinstance(value, dict):
        return {
            k: v for name, inner in value.items() for k, v in flat(inner, f"{path}.{name}").items()
        }
    if isinstance(value, list | tuple):
        return {
            k: v for i, inner in enumerate(value) for k, v in flat(inner, f"{path}.{i}").items()
        }
    return {path: value}


@pytest.mark.parametrize("system", ["metric", "imperial"])
@pytest.mark.parametrize("name", DEMO_PUMPS)
def test_a_whole_pump_comes_back_from_its_own_form(name: str, system):
    pump = demo_pump(name)
    texts = {n: t for n, t in texts_of(pump, system).items() if not n.startswith("strip.")}
    again = read_noun(Pump, texts, system, given={"strip": pump.strip.model_dump()})
    was, now = flat(pump.model_dump()), flat(again.model_dump())
    assert was.keys() == now.keys()
    for path, value in was.items():
        # seven significant figures are shown, so 1e-6 allows for their rounding
        expected = pytest.approx(value, rel=1e-6, abs=1e-15) if isinstance(value, float) else value
        assert now[path] == expected, path


def test_problems_are_named_where_they_were_typed():
    pump = demo_pump("quay-air")
    texts = dict(texts_of(pump, "metric"))
    texts |= {
        "hose.0.bore": (" ",),
        "hose.0.length": ("",),
        "hose.0.rated_pressure": ("",),
        "hose.0.growth": ("",),
        "hose.1.bore": ("wide",),
        "cylinder.bore": ("0",),
    }
    with pytest.raises(BadInput) as refused:
        read_noun(Pump, texts, "metric", given={"strip": pump.strip.model_dump()})
    said = {p.field: p.sentence for p in refused.value.problems}
    assert set(said) == {"hose.1.bore", "cylinder.bore"}
    assert "“wide” is not a length" in said["hose.1.bore"]
    assert said["cylinder.bore"] == "bore is 0 mm; it must be from 5 mm to 500 mm."


def test_limits_are_said_in_the_units_typed():
    with pytest.raises(BadInput, match=r"is 40,000 psi; it must be from 0 psi to 29,010 psi"):
        read_noun(CheckReadings, {"spray_pressure": ("40000",)}, "imperial")
    with pytest.raises(BadInput, match=r"is 40,000 bar; it must be from 0 bar to 2,000 bar"):
        read_noun(CheckReadings, {"spray_pressure": ("40000",)}, "metric")


def test_bare_numbers_mean_the_units_of_the_form():
    # 14.5038 psi to the bar: NIST SP 811 (2008), appendix B.8
    metric = read_noun(CheckReadings, {"spray_pressure": ("100",)}, "metric")
    imperial = read_noun(CheckReadings, {"spray_pressure": ("1450.38",)}, "imperial")
    assert metric.spray_pressure == pytest.approx(1e7)
    assert imperial.spray_pressure == pytest.approx(1e7, rel=1e-5)


def test_several_ticks_and_none():
    ticked = read_noun(Complaint, {"seen": ("up-stroke quick", "slow both ways")}, "metric")
    assert ticked.seen == ("up-stroke quick", "slow both ways")
    assert read_noun(Complaint, {"seen": ("up-stroke quick",)}, "metric").seen == (
        "up-stroke quick",
    )
    assert read_noun(Complaint, {}, "metric").seen == ()


def test_heights_are_read_by_name():
    texts = {"heights.cage": ("24.02",), "heights.seat": ("",), "tin": ("2x0.5, 0.25",)}
    stack = read_noun(StackMeasured, texts, "metric")
    assert stack.heights == {"cage": pytest.approx(0.02402)}
    assert stack.tin == pytest.approx((0.0005, 0.0005, 0.00025))


def test_text_is_cleaned_of_what_no_record_can_hold():
    assert clean("a\x00b\r\nc\rd\ud800") == "ab\nc\nd?"


def test_short_ids_are_made_from_names():
    assert slug_of("Tank 7 (inside)") == "tank-7-inside"
    assert slug_of("—") == ""
    assert with_key({"name": ("Kai Süd",)})["key"] == ("kai-s-d",)
    assert with_key({"name": (" ",)})["key"] == ("unnamed",)
    assert with_key({"name": ("Kai",), "key": ("mine",)})["key"] == ("mine",)


_NAMES = [*texts_of(demo_pump("quay-air"), "metric"), "hose.99.bore", "stack.parts.7.kind", "_more"]
_WORDS = st.one_of(
    st.text(max_size=40),
    st.sampled_from(["", "12", "-1", "1e400", "nan", "0,5", "3/8 in", "1/0", "2x0.5", "yes", "on"]),
)


@given(
    st.dictionaries(st.sampled_from(_NAMES), st.lists(_WORDS, max_size=3).map(tuple), max_size=40)
)
def test_any_texts_give_a_noun_or_sentences(texts):
    for noun in (Pump, CheckReadings, StackMeasured, Complaint):
        try:
            read_noun(noun, texts, "metric")
        except BadInput as bad:
            said = [str(bad), *(p.sentence for p in bad.problems)]
            assert all(said)
