"""A pump in ten answers: kept as typed, the rest guessed visibly, ratings never."""

from __future__ import annotations

import contextlib
import html
import re

import pytest
from examples import costly
from hypothesis import given
from hypothesis import strategies as st

from wetend.advice.diagnosis.diagnose import diagnose
from wetend.advice.prove.proof import prove
from wetend.advice.rebuild.fit import fit_stack
from wetend.advice.strip.plan import plan_strip
from wetend.drawings.wet_end.section import section
from wetend.errors import BadInput, NoAnswer
from wetend.pump.description import Pump
from wetend.pump.measurements import ProofReadings, StackMeasured
from wetend.pump.readings import CheckReadings, ToolBag
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump, pump_from_toml, to_toml
from wetend.web.form_data import read_noun
from wetend.workflows import pumps
from wetend.workflows.desk import Desk

ANSWERS = {
    "name": "Slip 5", "site": "Slip", "like": "quay-air", "bore": "45", "rod": "32",
    "stroke": "100", "drive": "air", "ratio": "50", "hose_bore": "9.5", "hose_length": "30",
    "orifice": "0.5", "supply_rated": "6", "outlet_pressure": "310", "hose_rated": "280",
    "filter_rated": "330", "nozzle_rated": "345", "_units": "metric",
}  # fmt: skip
RATINGS = ("supply_rated", "outlet_pressure", "hose_rated", "filter_rated", "nozzle_rated")


def test_ten_answers_are_kept_as_typed_and_the_rest_is_a_visible_guess(bare):
    answer = bare.send("/pumps/new/ten", ANSWERS)
    assert answer.url.path == "/pumps/slip-5"
    kept = Desk(bare.client.app.state.depot).pump("slip-5")
    assert (kept.name, kept.site) == ("Slip 5", "Slip")
    assert (kept.drive.kind, kept.drive.ratio) == ("air", 50)
    assert [kept.cylinder.bore, kept.rod.diameter, kept.stroke, kept.nozzle.orifice] == (
        pytest.approx([45e-3, 32e-3, 100e-3, 0.5e-3])
    )
    assert [(h.bore, h.length, h.rated_pressure) for h in kept.hose] == [
        (pytest.approx(9.5e-3), 30.0, pytest.approx(280e5))
    ]
    assert kept.limits.outlet_pressure == pytest.approx(310e5)
    assert kept.drive.supply_rated == pytest.approx(6e5)
    assert kept.foot_valve.ball_diameter == pytest.approx(22e-3 * 45 / 38, rel=1e-3)
    assert "stack" in kept.guessed
    assert not {"hose", "nozzle"} & set(kept.guessed)  # answered
    assert "Guessed until measured: 11 of 13" in answer.text


@pytest.mark.parametrize("rating", RATINGS)
def test_a_rating_left_blank_is_asked_for_and_nothing_typed_is_lost(bare, rating: str):
    answer = bare.send("/pumps/new/ten", ANSWERS | {rating: ""})
    assert answer.status_code == 422
    assert "at most is required" in answer.text
    assert 'value="Slip 5"' in answer.text
    assert bare.client.app.state.depot.entries() == []


@pytest.mark.parametrize(
    ("changed", "said"),
    [({"rod": "50"}, "rod must be thinner than the bore"),
     ({"bore": "wide"}, "“wide” is not a length"), ({"name": " "}, "is required"),
     ({"bore": "2 m"}, "must be from")],
)  # fmt: skip
def test_answers_that_make_no_pump_come_back_with_a_sentence(bare, changed, said):
    answer = bare.send("/pumps/new/ten", ANSWERS | changed)
    assert answer.status_code == 422
    assert said in html.unescape(answer.text)
    assert 'value="345"' in answer.text


def test_without_script_each_answer_sent_is_drawn_and_what_cannot_be_read_counts_as_none(bare):
    seen = []
    for some in (("name",), ("name", "bore"), ("name", "bore", "rod", "stroke"), tuple(ANSWERS)):
        sent = {n: ANSWERS[n] if n in some else "" for n in ANSWERS} | {"_units": "metric"}
        page = bare.send("/pumps/new/ten", sent | {"draw": "yes"}).text
        seen.append(re.search(r"(\d+) of 10 answered", page)[1])
        assert page.count("<figure") == 1
    assert seen == ["1", "2", "4", "10"]
    odd = bare.get("/pumps/new/drawn?bore=wide&rod=1e9&stroke=-3&like=no-such&_units=metric")
    assert odd.status_code == 200
    page = bare.get("/pumps/new/drawn?bore=2&rod=1.4&stroke=4&_units=imperial").text
    assert "206 <small>mL" in page.partition("A cycle delivers")[2]  # pi/4 x (2 in)² x 4 in


def test_a_pump_like_one_already_known_is_two_taps(person):
    new = person.get("/pumps/new").text
    link = html.unescape(re.search(r'href="(/pumps/new\?like=dry-dock)"', new)[1])
    page = person.get(link).text
    form = page[page.index('<form class="ask pairs"') : page.index("Save this pump")]
    fields = {html.unescape(n): html.unescape(v) for n, v in
              re.findall(r'<input id="[^"]*" name="([^"]+)" value="([^"]*)"', form)}  # fmt: skip
    fields |= dict(re.findall(r'type="radio" name="([^"]+)" value="([^"]*)" checked', form))
    fields |= dict(re.findall(r'<select [^>]*name="(drive)".*?value="(\w+)" selected', form, re.S))
    answer = person.send("/pumps/new/ten", fields | {"_units": "metric"})
    assert answer.url.path == "/pumps/dry-dock-2", re.findall(r"<li>(.*?)</li>", answer.text)
    desk = Desk(person.client.app.state.depot)
    made, like = desk.pump("dry-dock-2"), desk.pump("dry-dock")
    assert made.stack == like.stack
    assert made.strip == like.strip
    assert made.hose == like.hose
    assert made.guessed == like.guessed == ()


def test_a_guess_is_said_where_a_result_hangs_on_it_until_it_is_measured(bare):
    bare.send("/pumps/new/ten", ANSWERS)
    start = bare.send("/pumps/slip-5/visits", {"site": "Slip", "reason": "weeps"})
    visit = start.url.path.rpartition("/")[0]
    rebuild = bare.get(f"{visit}/rebuild").text
    assert "Computed with guesses" in rebuild
    assert "heights of the stack" in rebuild
    assert "Computed with guesses" not in bare.get(f"{visit}/complaint").text
    wrong = bare.send("/pumps/slip-5/measured", {"part": ["limits"]})
    assert wrong.status_code == 422
    groups = ["stack", "foot_valve", "static_packings", "moving_packings"]
    bare.send("/pumps/slip-5/measured", {"part": groups})
    assert "Computed with guesses" not in bare.get(f"{visit}/rebuild").text
    assert "Computed with guesses" in bare.get(f"{visit}/inspect").text
    assert bare.send("/pumps/slip-5/measured", {"part": groups}).status_code == 422  # no guesses


def _figure(low: float, high: float) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda x: f"{x:.4g}")


@given(
    typed=st.fixed_dictionaries({
        "name": st.text(min_size=1, max_size=80), "like": st.sampled_from(DEMO_PUMPS),
        "bore": _figure(6, 400), "rod": _figure(5, 300), "stroke": _figure(6, 900),
        "drive": st.sampled_from(["", "air", "hydraulic", "electric", "engine"]),
        "ratio": st.one_of(st.just(""), _figure(0.5, 120)),
        "hose_bore": st.one_of(st.just(""), _figure(2, 40)),
        "hose_length": st.one_of(st.just(""), _figure(0.1, 300)),
        "orifice": st.one_of(st.just(""), _figure(0.06, 5)),
        "supply_rated": _figure(0.1, 400),
        **{name: _figure(1, 1500) for name in RATINGS[1:]},
    })
)  # fmt: skip
@costly(12)
def test_any_answers_that_are_accepted_make_a_pump_that_the_whole_tool_takes(typed):
    texts = {name: (text,) for name, text in typed.items()}
    try:
        known = read_noun(pumps.NewPump, texts, "metric")
        pump = pumps.scaled(demo_pump(known.like), known)
    except BadInput:  # a sentence for the page
        return
    assert pump.cylinder.bore == pytest.approx(float(typed["bore"]) * 1e-3)
    assert pump.stroke == pytest.approx(float(typed["stroke"]) * 1e-3)
    rated = float(typed["hose_rated"]) * 1e5
    assert [h.rated_pressure for h in pump.hose] == pytest.approx([rated] * len(pump.hose))
    named = pump.model_copy(update={"key": pumps.key_from(known.name), "name": known.name})
    assert pump_from_toml(to_toml(named)) == named
    _is_taken(named)


def _is_taken(pump: Pump) -> None:
    """The tool answers of a pump, or says in a sentence why it can't; nothing breaks."""
    coating = demo_coatings()[0]
    read = CheckReadings(up_times=(1.3, 1.3), down_times=(1.1, 1.1))
    assert section(pump).startswith("<svg")
    assert plan_strip(pump, ToolBag(tools=("timber-block", "adjustable"), goal="foot-valve"))
    for ask in (
        lambda: diagnose(pump, coating, read, particles=200),
        lambda: fit_stack(pump, StackMeasured(), draws=200),
        lambda: prove(pump, coating, ProofReadings()),
    ):
        with contextlib.suppress(BadInput, NoAnswer):  # a sentence for the page
            assert ask()
