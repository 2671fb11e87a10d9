"""Life, stores, fleet and import pages: what they show, what they keep, what they refuse."""

from __future__ import annotations

import csv
import io
import re
import zipfile

import pytest

from wetend.pump.usage import PART_WORDS
from wetend.records.entries import said_by
from wetend.web import fleet as pages
from wetend.workflows import life
from wetend.workflows.desk import Desk
from wetend.workflows.months_in_background import FLEET_MONTHS

PUMP = "north-quay"


def test_the_pump_page_shows_remaining_life(reader) -> None:
    page = reader.get(f"/pumps/{PUMP}")
    assert "Remaining life of each part" in page.text
    assert f'href="/pumps/{PUMP}/life"' in page.text


def test_the_life_page_shows_every_part_in_the_persons_units(reader) -> None:
    page = reader.get(f"/pumps/{PUMP}/life").text
    for words in PART_WORDS.values():
        assert words.capitalize() in page
    assert " L<" in page
    reader.send("/preferences", {"units": "imperial", "back": "/"})
    assert " gal<" in reader.get(f"/pumps/{PUMP}/life").text


def test_the_life_page_says_what_to_do_then_how_sure_then_the_rest(reader) -> None:
    page = reader.get(f"/pumps/{PUMP}/life?plot=static-packings").text
    places = [page.index(said) for said in (
        "Check the packings", "within four weeks", "likely ", "chance that it has failed",
        "One in two by", "<summary>Likely ranges")]  # fmt: skip
    assert places == sorted(places)
    drawn = page[page.index('id="curve"') : page.index("Each part")]
    for said in ("Static packings", ">today</text>", "best day to replace", "1 in 10"):
        assert said in drawn, said


def test_use_and_parts_are_kept(person, site) -> None:
    sent = person.send(
        f"/pumps/{PUMP}/life/use",
        {"first": "2026-01-01", "last": "2026-01-31", "pumped": "400", "_units": "metric"},
    )
    assert sent.status_code == 200
    fitted = person.send(
        f"/pumps/{PUMP}/life/fitted", {"part": "rod", "why": "planned", "on": "2026-02-01"}
    )
    assert "Saved." in fitted.text
    kinds = {e.kind for e in site.depot.entries(pump=PUMP)}
    assert {"usage", "part-fitted"} <= kinds


def test_a_nozzle_measured_is_kept_and_half_a_test_comes_back(person, site) -> None:
    there = f"/pumps/{PUMP}/life/nozzle"
    half = person.send(there, {"volume": "0.5", "time": "20"})
    assert half.status_code == 422
    assert "pail test needs" in half.text
    kept = person.send(there, {"volume": "0.5", "time": "20", "pressure": "180"})
    assert kept.status_code == 200
    assert "Saved." in kept.text
    assert "skin" in kept.text  # the caution stands where the stream is caught
    assert any(e.kind == "nozzle" for e in site.depot.entries(pump=PUMP))


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ({"first": "2026-01-05", "last": "2026-01-01", "pumped": "4"}, "before the first"),
        ({"first": "soon", "last": "2026-01-01", "pumped": "4"}, "First day"),
        ({"first": "2026-01-01", "last": "2026-01-02"}, "give the cycles"),
    ],
)
def test_a_mistake_comes_back_beside_its_field(reader, fields, told: str) -> None:
    back = reader.send(f"/pumps/{PUMP}/life/use", fields)
    assert back.status_code == 422
    assert told.lower() in back.text.lower()
    assert fields["first"] in back.text


def test_costs_in_the_address_change_the_advice(reader) -> None:
    cheap = reader.get(f"/pumps/{PUMP}/life?crew_hour=0&call_out=0").text
    dear = reader.get(f"/pumps/{PUMP}/life?crew_hour=900").text
    assert cheap.count("run to failure") > dear.count("run to failure")
    assert reader.get(f"/pumps/{PUMP}/life?crew_hour=lots").status_code == 422


def test_the_fleets_month_as_table_calendar_and_csv(reader) -> None:
    page = reader.get("/fleet")
    assert page.status_code == 200
    assert "Calendar of planned visits" in page.text
    assert "Planned visits, week by week" in page.text  # drawn before its table
    assert page.text.index("week by week") < page.text.index("Best day of each planned visit")
    rows = list(csv.DictReader(io.StringIO(reader.get("/fleet.csv").text)))
    assert len(rows) >= 6
    chances = [float(r["chance"]) for r in rows]
    assert all(0 <= c <= 1 for c in chances)
    assert reader.get("/fleet?days=0").status_code == 422
    assert reader.get("/fleet?page=9999").status_code == 200


def test_months_to_come(reader) -> None:
    page = reader.get("/fleet/months?months=6&service=2500")
    assert page.status_code == 200
    assert "By forecast" in page.text
    assert reader.get("/fleet/months?months=none").status_code == 422


def test_stores_and_their_order_list(reader) -> None:
    page = reader.get("/stores")
    assert page.status_code == 200
    key = re.search(r'name="have\.(rod--[^"]+)"', page.text)  # the program's own, in addresses
    assert key
    whole = list(csv.DictReader(io.StringIO(reader.get("/stores/order.csv?lead=900").text)))
    held = reader.get(f"/stores/order.csv?lead=900&have.{key[1]}=99")
    assert len(list(csv.DictReader(io.StringIO(held.text)))) == len(whole) - 1
    assert reader.get("/stores/order.pdf").content.startswith(b"%PDF-")
    assert reader.get("/stores?lead=never").status_code == 422
    assert reader.get("/stores/order.csv?fill=200").status_code == 422


def test_the_box_for_a_call(reader, shown) -> None:
    small = reader.get(f"/visits/{shown.open_visit}/box?room=0.2")
    assert small.status_code == 200
    assert "Repaired at the first visit" in small.text
    assert reader.get(f"/visits/{shown.open_visit}/box?room=-1").status_code == 422


TABLE = "Pump;Day;Part;Reason\r\ntank-farm;2026-01-05;rod;planned\r\nnobody;2026-01-06;rod;\r\n"


def test_a_table_is_seen_first_and_kept_by_choice(person, site) -> None:
    before = len(site.depot.entries())
    seen = person.send("/import", {}, files={"table": TABLE.encode()})
    assert seen.status_code == 200
    assert "1 of 2 rows" in seen.text
    assert len(site.depot.entries()) == before
    here = seen.url.path
    chosen = {"col.pump": "Pump", "col.day": "Day", "col.part": "Part", "col.why": "Reason"}
    refused = person.send(here, chosen)
    assert refused.status_code == 422
    assert len(site.depot.entries()) == before
    kept = person.send(here, {**chosen, "leave_out": "yes"})
    assert kept.status_code == 200
    assert len(site.depot.entries()) == before + 2  # the row, and the import it came with
    assert person.get("/import/" + "0" * 32).status_code == 404


@pytest.mark.parametrize("data", [b"", b"\x00\x01", b"PK\x03\x04oops", b'a,b\n"torn'])
def test_a_file_that_is_none_says_so(person, data: bytes) -> None:
    back = person.send("/import", {}, files={"table": data})
    assert back.status_code == 422
    assert "Nothing was read" in back.text


def test_hostile_words_in_a_table_stay_words(person) -> None:
    nasty = "<script>alert(1)</script>"
    table = f"Pump;Day;Part\r\n{nasty};2026-01-05;{nasty}\r\n"
    seen = person.send("/import", {}, files={"table": table.encode()}).text
    assert nasty not in seen
    assert "&lt;script&gt;" in seen


def test_a_large_fleets_months_are_played_behind_the_page(reader, monkeypatch) -> None:
    at_once = reader.get("/fleet/months?months=5").text
    monkeypatch.setattr(pages, "MOST_HERE", 2)
    assert "take a while" in reader.get("/fleet/months").text
    page = reader.get("/fleet/months?months=5")
    assert 'http-equiv="refresh"' in page.text
    assert "<progress" in page.text
    (key,) = re.findall(r'name="played" value="([0-9a-f]+)"', page.text)
    assert FLEET_MONTHS.find(key).ended.wait(60)
    done = reader.get("/fleet/months?months=5").text
    assert 'http-equiv="refresh"' not in done
    counts = re.compile(r'<td class="n">[0-9.]+</td>')
    assert counts.findall(done) == counts.findall(at_once)  # the same, seed for seed


def test_playing_behind_the_page_can_be_stopped(reader, monkeypatch) -> None:
    monkeypatch.setattr(pages, "MOST_HERE", 2)
    page = reader.get("/fleet/months?months=60&service=900").text
    (key,) = re.findall(r'name="played" value="([0-9a-f]+)"', page)
    query = "months=60&service=900"
    back = reader.send("/fleet/months/stop", {"played": key, "query": query})
    assert back.status_code == 200
    assert FLEET_MONTHS.find(key).ended.wait(60)
    assert FLEET_MONTHS.find(key).months is None
    assert "Nothing was calculated" in reader.get(f"/fleet/months?{query}&stopped=1").text


def test_everything_can_be_taken_out(reader, shown) -> None:
    answer = reader.get("/export.zip")
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        rows = packed.read("entries.csv").decode().count("\r\n")
    assert rows >= len(shown.depot.entries())


def test_an_empty_depot_has_pages_too(bare) -> None:
    for path in ("/fleet", "/fleet/months", "/stores", "/import", "/export.zip", "/fleet.csv"):
        assert bare.get(path).status_code == 200, path
    assert bare.get("/pumps/none/life").status_code == 404


def test_the_page_reads_what_the_workflow_says(reader, shown) -> None:
    view = life.view(Desk(shown.depot), PUMP)
    page = reader.get(f"/pumps/{PUMP}/life").text
    assert f"<dd>{view.failures}</dd>" in page


def test_a_page_drawn_by_an_earlier_version_is_still_understood(person, site) -> None:
    sent = person.send(
        f"/pumps/{PUMP}/life/use",
        {"first": "2026-03-01", "last": "2026-03-31", "litres": "100", "_units": "imperial"},
    )
    assert sent.status_code == 200
    kept = said_by(site.depot.entries(pump=PUMP, kinds=("usage",))[-1])
    assert kept.pumped == pytest.approx(0.3785411784)  # 100 US gallons, as its label said


def test_doubtful_words_of_a_table_are_confirmed_before_it_is_kept(person, site) -> None:
    table = "pump;day;part;why;Pumped\r\ntank-farm;2026-01-05;lower pkg;unplanned stop;12\r\n"
    before = len(site.depot.entries())
    page = person.send("/import", {}, files={"table": table.encode()})
    here = page.url.path
    assert "“lower pkg”" in page.text
    assert "not read" in page.text
    columns = {f"col.{name}": name for name in ("pump", "day", "part", "why")}
    chosen = {**columns, "col.pumped": "Pumped"}
    assert person.send(here, {**chosen, "leave_out": "yes"}).status_code in (200, 422)
    assert len(site.depot.entries()) == before
    names = re.findall(r'name="(say\.[0-9a-f]{8})"', page.text)
    answers = dict(
        zip(dict.fromkeys(names), ("moving-packings", "worn out", "US gal"), strict=True)
    )
    shown = person.get(here, params={**chosen, **answers}).text
    assert "Save 2 entries" in shown
    kept = person.send(here, {**chosen, **answers})
    assert kept.status_code == 200
    use, fitted = (site.depot.entries(pump="tank-farm", kinds=(k,))[-1].payload
                   for k in ("usage", "part-fitted"))  # fmt: skip
    assert '"pumped":0.04542' in use  # 12 US gallons of 3.785411784 L, by definition
    assert '"part":"moving-packings","why":"worn out"' in fitted
