"""The catalogue and the order list: filled in on a page or by command, and fit to be sent."""

from __future__ import annotations

import csv
import html
import io
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from wetend.cli.app import run
from wetend.pump.usage import LIFE_PARTS
from wetend.workflows import catalogue, stores, visits
from wetend.workflows.desk import Desk

from .conftest import TOKEN, Site

SEAT = {"number": "9-19", "name": "Seat 19 mm", "parts": "foot-seat", "pumps": "east-yard",
        "supplier": "Carbide and Ball", "price": "141.50", "pack": "1"}  # fmt: skip


@dataclass(frozen=True)
class Depotkeeper:
    """Someone at the stores of a demo depot of their own."""

    desk: Desk
    client: TestClient
    path: Path

    def send(self, where: str, fields: dict[str, str], **more):
        token = TOKEN.search(self.client.get("/preferences").text)
        assert token
        return self.client.post(where, data={**fields, "_token": token[1]}, **more)

    def text(self, where: str) -> str:
        answer = self.client.get(where)
        assert answer.status_code == 200, where
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())


@pytest.fixture
def keeper(site: Site) -> Iterator[Depotkeeper]:
    with TestClient(site.app, base_url="http://localhost") as client:
        yield Depotkeeper(Desk(site.depot, who="A. Tester"), client, site.path)


def order(keeper: Depotkeeper) -> list[dict[str, str]]:
    answer = keeper.client.get("/stores/order.csv?lead=60")
    return list(csv.DictReader(io.StringIO(answer.text)))


def test_a_part_without_a_number_is_asked_for_and_then_ordered_by_it(keeper: Depotkeeper) -> None:
    page = keeper.client.get("/stores").text
    assert "No number yet: enter it" in page
    asked = re.search(r'href="(/stores/items\?part=foot-seat[^"]+)"', page)
    assert asked
    form = keeper.client.get(html.unescape(asked[1])).text
    assert re.search(r'name="parts" value="foot-seat" checked', form)
    assert len(re.findall(r'name="pumps" value="[^"]+" checked', form)) == 3
    assert keeper.send("/stores/items", SEAT).status_code == 200
    (line,) = [row for row in order(keeper) if row["number"] == "9-19"]
    assert (line["name"], line["supplier"], line["price each"]) == (
        "Seat 19 mm", "Carbide and Ball", "141.50"
    )  # fmt: skip
    assert float(line["total"]) == int(line["how many"]) * 141.5
    assert "9-19" in keeper.text("/stores")


def test_no_order_list_prints_the_programs_own_ids(keeper: Depotkeeper) -> None:
    pdf = keeper.client.get("/stores/order.pdf?lead=60").content
    paper = " ".join(p.extract_text() for p in PdfReader(io.BytesIO(pdf)).pages)
    table = keeper.client.get("/stores/order.csv?lead=60").text
    listed = json.dumps(stores.order_json(stores.plan(keeper.desk, stores.Costs())))
    for said in (paper, table, listed):
        assert "HS-5001" in said  # the kit, cheaper than its parts
        assert "harbour spares" in said.lower()
        for part in LIFE_PARTS:
            if "-" in part:
                assert part not in said, part
        assert "--" not in said
    assert "no number yet" in paper
    assert "bought singly" in " ".join(paper.split())


def test_an_item_is_changed_counted_and_taken_out(keeper: Depotkeeper) -> None:
    keeper.send("/stores/items", SEAT)
    twice = keeper.send("/stores/items", SEAT)
    assert twice.status_code == 200
    assert [s.item.number for s in catalogue.items_of(keeper.desk)].count("9-19") == 1
    keeper.send("/stores/items", {**SEAT, "number": "9-19A", "_number": "9-19"})
    assert catalogue.find(keeper.desk, "9-19A").item.price == 141.5
    keeper.send("/stores/items/count", {"number": "9-19A", "shelf": "4", "van": ""})
    assert "Counted" in keeper.text("/stores/items")
    assert not [row for row in order(keeper) if row["number"] == "9-19A"]  # enough is there
    keeper.send("/stores/items/drop", {"number": "9-19A"})
    assert "9-19A" not in keeper.text("/stores/items")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"number": ""}, "Part number"),
        ({"pumps": ["east-yard", "north-quay"]}, "one item can't fit both"),
        ({"price": "dear"}, "Price"),
        ({"number": "HS-2204", "_number": "14-1407"}, "is taken by"),
        ({"name": "<script>alert(1)</script>", "price": "-1"}, "Price"),
    ],
)
def test_a_mistake_comes_back_with_what_was_typed(
    keeper: Depotkeeper, change: dict[str, str], told: str
) -> None:
    before = catalogue.items_of(keeper.desk)
    answer = keeper.send("/stores/items", {**SEAT, **change})
    assert answer.status_code == 422
    assert told in html.unescape(answer.text)
    assert "<script>alert" not in answer.text
    assert catalogue.items_of(keeper.desk) == before


def test_the_catalogue_goes_out_and_comes_back_as_a_file(keeper: Depotkeeper) -> None:
    for kind in ("csv", "toml"):
        text = keeper.client.get(f"/stores/items.{kind}").text
        changed = text.replace("Harbour Spares", "Quay Spares")
        back = keeper.send("/stores/items/file", {}, files={"file": ("a file", changed.encode())})
        assert back.status_code == 200
        assert "Quay Spares" in keeper.text("/stores/items")
        keeper.send("/stores/items/file", {}, files={"file": ("a file", text.encode())})
    bad = keeper.send("/stores/items/file", {}, files={"file": ("a file", b"number,parts\n1,x\n")})
    assert bad.status_code == 422
    assert "Nothing was saved" in bad.text


def test_the_box_names_what_to_carry_by_number(keeper: Depotkeeper) -> None:
    visit = next(v.id for v in visits.open_visits(keeper.desk) if v.pump == "north-quay")
    assert "HS-2204 , 1 in the van" in keeper.text(f"/visits/{visit}/box?room=2")


def test_by_command(keeper: Depotkeeper, monkeypatch, capsys, tmp_path) -> None:
    monkeypatch.setenv("WETEND_DEPOT", str(keeper.path))
    monkeypatch.setenv("COLUMNS", "300")

    def say(*words: str) -> str:
        capsys.readouterr()
        assert run([*words]) == 0, capsys.readouterr().err
        return capsys.readouterr().out

    assert "no number yet" in say("stores", "order")
    say("stores", "item", *(f"{name}={value}" for name, value in SEAT.items()))
    say("stores", "item", "number=9-19", "price=99", "lead=5 d")  # over what is known
    item = catalogue.find(keeper.desk, "9-19").item
    assert (item.price, item.name, item.lead) == (99.0, "Seat 19 mm", 5 * 86400.0)
    say("stores", "count", "9-19", "shelf=1", "van=2")
    assert re.search(r"9-19 +Seat 19 mm.* 99\.00 +1 +1 +2", say("stores", "items"))
    assert "9-19" in say("stores", "list")
    lines = json.loads(say("stores", "order", "--json", "--lead", "60d"))["lines"]
    assert {"number", "name", "supplier", "count", "price_each", "total"} <= set(lines[0])
    for name in ("i.csv", "i.toml"):
        say("stores", "items-out", "--to", str(tmp_path / name))
        assert "; 0 entries added" in say("stores", "items-in", str(tmp_path / name))
    say("stores", "drop", "9-19")
    assert run(["stores", "drop", "9-19"]) == 2
    assert run(["stores", "items-in", str(tmp_path / "none.csv")]) == 2
    assert run(["stores", "items-out", "--to", "x.doc"]) == 2
