"""Describing pumps in the form and in TOML."""

from __future__ import annotations

import html
import json
import re

import pytest

from wetend.errors import BadInput
from wetend.pump.toml import DEMO_PUMPS, demo_pump, pump_from_toml, to_toml
from wetend.reports.qr import address_code
from wetend.web.forms import texts_of
from wetend.workflows import pumps
from wetend.workflows.desk import Desk


def typed_pump(model: str, **changed: str) -> dict[str, list[str]]:
    """What a person would type to describe a demo pump under another name."""
    texts = texts_of(demo_pump(model), "metric")
    fields = {n: list(t) for n, t in texts.items() if not n.startswith("strip.")}
    fields |= {"name": ["Slip 4"], "key": [""], "strip_like": [model]}
    return fields | {n: [t] for n, t in changed.items()}


@pytest.mark.parametrize("name", DEMO_PUMPS)
def test_a_pump_described_in_the_form_is_kept_whole(bare, name: str):
    answer = bare.send("/pumps/new", typed_pump(name))
    assert answer.url.path == "/pumps/slip-4"
    kept = Desk(bare.client.app.state.depot).pump("slip-4")
    model = demo_pump(name)
    assert kept.strip == model.strip
    assert kept.stack.parts[0].height == pytest.approx(model.stack.parts[0].height)
    assert len(kept.hose) == len(model.hose)
    assert "Slip 4" in bare.get("/").text


def test_a_form_with_mistakes_comes_back_as_typed_with_a_sentence_at_each(bare):
    wrong = typed_pump(
        "quay-air", stroke="about 80", **{"cylinder.bore": "-3", "hose.1.length": ""}
    )
    answer = bare.send("/pumps/new", wrong)
    assert answer.status_code == 422
    for said in (
        "“about 80” is not a length",
        "Bore is -3 mm; it must be from 5 mm to 500 mm",
        "Length is required",
    ):
        assert said in answer.text
    for typed in ('value="about 80"', 'value="-3"', 'value="Slip 4"'):
        assert typed in answer.text
    assert bare.client.app.state.depot.entries() == []


def test_a_rod_thicker_than_the_bore_is_said_once_at_the_top(bare):
    answer = bare.send("/pumps/new", typed_pump("quay-air", **{"rod.diameter": "40"}))
    assert answer.status_code == 422
    assert answer.text.count("The rod must be thinner than the bore.") == 1


def test_a_ring_that_leaves_the_ball_no_room_is_refused_in_one_sentence(bare):
    answer = bare.send("/pumps/new", typed_pump("quay-air", **{"stack.parts.2.inside": "10"}))
    assert answer.status_code == 422
    said = html.unescape(answer.text)
    assert re.search(
        r"no room: its hole of 10\.?0* mm is narrower than the seat's 14\.?0* mm", said
    )
    assert 'value="10"' in answer.text  # nothing typed is lost
    assert bare.client.app.state.depot.entries() == []


def test_a_pump_described_so_before_is_still_read(bare):
    pump = demo_pump("quay-air")
    parts = tuple(
        p.model_copy(update={"inside": 0.01}) if p.kind == "cage" else p for p in pump.stack.parts
    )
    odd = pump.model_copy(update={"stack": pump.stack.model_copy(update={"parts": parts})})
    desk = Desk(bare.client.app.state.depot)
    desk.keep("pump-described", odd, pump=odd.key)
    assert desk.pump(odd.key).stack.parts == parts
    assert bare.get(f"/pumps/{odd.key}").status_code == 200
    with pytest.raises(BadInput, match="leaves the ball no room"):
        pumps.describe(desk, odd)


def test_a_row_is_added_without_losing_what_is_typed(bare):
    answer = bare.send("/pumps/new", {**typed_pump("quay-air"), "_more": ["hose"]})
    assert answer.status_code == 200
    assert "Hose 3" in answer.text
    assert 'name="hose.2.bore" value=""' in answer.text
    assert 'value="Slip 4"' in answer.text


def test_a_row_left_blank_is_left_out(bare):
    blank = {f"hose.2.{n}": "" for n in ("bore", "length", "rated_pressure", "growth")}
    bare.send("/pumps/new", typed_pump("quay-air", **blank))
    assert len(Desk(bare.client.app.state.depot).pump("slip-4").hose) == 2


def test_a_key_already_taken_or_kept_for_pages_is_refused(bare):
    assert bare.send("/pumps/new", typed_pump("quay-air")).status_code == 200
    again = bare.send("/pumps/new", typed_pump("quay-air"))
    assert again.status_code == 422
    assert "already has a pump" in again.text
    assert bare.send("/pumps/new", typed_pump("quay-air", key="new")).status_code == 422


def test_a_pump_described_anew_keeps_its_id_and_its_own_strip(bare):
    bare.send("/pumps/new", typed_pump("quay-air"))
    changed = typed_pump("quay-air", name="Slip 5", key="other", strip_like="as-kept")
    assert bare.send("/pumps/slip-4/edit", changed).url.path == "/pumps/slip-4"
    pump = Desk(bare.client.app.state.depot).pump("slip-4")
    assert pump.name == "Slip 5"
    assert pump.strip == demo_pump("quay-air").strip
    assert len(bare.client.app.state.depot.entries(pump="slip-4")) == 2


def test_a_form_may_start_from_a_pump_like_it(bare):
    page = bare.get("/pumps/new/full?like=quay-air").text
    assert 'name="cylinder.bore" value="38"' in page
    assert 'id="pump-name" name="name" value=""' in page
    assert bare.get("/pumps/new/full?like=none-such").status_code == 200


def test_toml_goes_in_pasted_or_as_a_file_and_comes_out_equal(bare):
    pump = demo_pump("yard-hydraulic")
    assert bare.send("/pumps/toml", {"toml": to_toml(pump)}).url.path == "/pumps/yard-hydraulic"
    answer = bare.get("/pumps/yard-hydraulic.toml")
    assert answer.headers["content-type"].startswith("application/toml")
    assert pump_from_toml(answer.text) == pump
    other = to_toml(demo_pump("quay-air")).encode()
    assert bare.send("/pumps/toml", {}, files={"file": other}).url.path == "/pumps/quay-air"


@pytest.mark.parametrize(
    ("text", "said"),
    [("key = ", "not valid TOML"), ("", "is required"), (
        'key = "x"\nnonsense = 1', "not a field known"),
     ("x" * 250_000, "longer than 200,000")],
    ids=["torn", "empty", "unknown field", "too long"],
)  # fmt: skip
def test_toml_that_cannot_be_used_comes_back_with_a_sentence(bare, text: str, said: str):
    answer = bare.send("/pumps/toml", {"toml": text})
    assert answer.status_code == 422
    assert said in answer.text
    assert text[:10] in html.unescape(answer.text)


def test_a_file_that_is_no_text_is_refused(bare):
    answer = bare.send("/pumps/toml", {}, files={"file": b"\xff\xfe\x00"})
    assert answer.status_code == 422
    assert "not text in UTF-8" in answer.text


def test_the_schema_is_served(bare):
    answer = bare.get("/pump-schema.json")
    assert json.loads(answer.text)["$schema"].endswith("2020-12/schema")


def test_a_history_shows_visits_latest_first(person, site):
    days = re.findall(r"<b>(\d+ \w+ \d{4})</b>", person.get(f"/pumps/{site.pump}").text)
    assert len(days) > 1
    years = [int(d.split()[-1]) for d in days]
    assert years == sorted(years, reverse=True)


def test_a_pump_is_shown_taken_apart_and_each_part_leads_on(reader, shown):
    """To its inspection in the latest visit, what remains of its life, and the number to order."""
    text = reader.get(f"/pumps/{shown.pump}/parts").text
    assert text.count('class="dw dw-act"') == 1
    assert f"/pumps/{shown.pump}/parts" in reader.get(f"/pumps/{shown.pump}").text
    leads = re.findall(r'<span class="leads">(.*?)</span>', text)
    links = [html.unescape(u) for each in leads for u in re.findall(r'href="([^"#]+)', each)]
    assert sum("/life?plot=" in link for link in links) == 9
    inspected = {link.partition("part=")[2] for link in links if "/inspect?" in link}
    assert {"foot-ball", "rod", "seal-land", "moving-packings"} <= inspected
    assert links.count("/stores/items") >= 3
    for link in sorted(set(links)):
        assert reader.get(link).status_code == 200, link


def test_a_label_opens_the_pump_by_its_code(reader, shown):
    """The code holds the page's own address; its drawing is the library's (ISO/IEC 18004)."""
    text = reader.get(f"/pumps/{shown.pump}").text
    label = text.partition('id="label"')[2].partition("</details>")[0]
    address = f"http://localhost/pumps/{shown.pump}"
    assert address in label
    assert address_code(address) in label
    assert address_code(address) != address_code(f"{address}-2")


def test_the_whole_form_is_folded_and_opens_where_something_is_wrong(bare):
    wrong = typed_pump("quay-air", **{"cylinder.bore": "-3"})
    answer = bare.send("/pumps/new", wrong).text
    folds = dict(re.findall(r'<details class="wide fold" id="([^"]+)"( open)?>', answer))
    opened = [name for name, state in folds.items() if state]
    assert len(folds) == 13
    assert len(opened) == 1
    inside = answer.partition(f'id="{opened[0]}"')[2].partition("</details>")[0]
    assert 'name="cylinder.bore" value="-3"' in inside
