"""A pump described by mistake is removed from the lists, by page and by command, and restored."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from wetend.cli.app import run
from wetend.errors import BadInput, NotFound
from wetend.pump.readings import VisitStart
from wetend.pump.toml import demo_pump
from wetend.pump.usage import Usage
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import exporting, fleet, life_facts, pumps, removal, stores, visits
from wetend.workflows.desk import Desk

SLIP = "yard-hydraulic"


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return tmp_path / "depot.sqlite3"


@pytest.fixture
def desk(place: Path) -> Iterator[Desk]:
    """A depot of two pumps; the second was described by mistake."""
    with Depot.open(place) as depot:
        desk = Desk(depot, who="Ann")
        for key in ("quay-air", SLIP):
            pumps.describe(desk, demo_pump(key))
        yield desk


@pytest.fixture
def client(desk: Desk) -> TestClient:
    return TestClient(create_app(desk.depot), base_url="http://localhost")


def send(client: TestClient, **fields: str):
    page = client.get(f"/pumps/{SLIP}").text
    token = page.split('name="_token" value="')[1].split('"')[0]
    return client.post(f"/pumps/{SLIP}/remove", data={"_token": token, **fields})


def kinds(desk: Desk) -> list[str]:
    return [e.kind for e in desk.depot.entries(pump=SLIP)]


def keys(lines: tuple[pumps.PumpLine, ...]) -> list[str]:
    return [line.pump.key for line in lines]


def everywhere(desk: Desk) -> list[bool]:
    """Whether the pump is in each list: pumps, the fleet plan, stores, what tables may name."""
    known = life_facts.facts(desk)
    return [
        SLIP in keys(pumps.list_pumps(desk)),
        SLIP in [each.key for each in fleet.fleet_pumps(known)],
        stores.view(desk).pumps == 2,
        SLIP in [pump.key for pump in pumps.described(desk)],
        SLIP in known.in_use,
    ]


def test_it_goes_out_of_every_list_and_comes_back(desk: Desk) -> None:
    assert everywhere(desk) == [True] * 5
    seen = removal.remove(desk, SLIP, "described by mistake")
    assert (seen.removed, seen.who, seen.reason) == (True, "Ann", "described by mistake")
    assert everywhere(desk) == [False] * 5
    assert keys(pumps.list_removed(desk)) == [SLIP]
    assert desk.pump(SLIP).key == SLIP, "its page is still there"
    assert removal.restore(desk, SLIP).removed is False
    assert everywhere(desk) == [True] * 5
    assert pumps.list_removed(desk) == ()


def test_twice_is_once_and_back_again_too(desk: Desk) -> None:
    for _ in range(2):
        removal.remove(desk, SLIP)
    assert kinds(desk) == ["pump-described", "pump-removed"]
    for _ in range(2):
        removal.restore(desk, SLIP)
    assert kinds(desk) == ["pump-described", "pump-removed", "withdrawn"]
    removal.remove(desk, SLIP, "after all")
    assert removal.view(desk, SLIP).reason == "after all"


def test_two_who_remove_it_apart_are_both_undone(desk: Desk, tmp_path: Path) -> None:
    """Each on a device of their own; their records are merged afterwards."""
    with Depot.open(tmp_path / "other.sqlite3") as other:
        other.merge(desk.depot.entries())
        removal.remove(Desk(other, who="Ben"), SLIP, "sold")
        removal.remove(desk, SLIP, "scrapped")
        desk.depot.merge(other.entries())
    assert kinds(desk).count("pump-removed") == 2
    removal.restore(desk, SLIP)
    assert not removal.view(desk, SLIP).removed


def test_described_anew_it_is_listed_again(desk: Desk) -> None:
    with pytest.raises(BadInput, match="already has a pump"):
        pumps.describe(desk, demo_pump(SLIP), new=True)
    removal.remove(desk, SLIP)
    pumps.describe(desk, demo_pump(SLIP).model_copy(update={"name": "The right one"}), new=True)
    assert [line.pump.name for line in pumps.list_pumps(desk)][-1] == "The right one"
    assert pumps.list_removed(desk) == ()


def test_what_hangs_on_it_is_told_and_stays_reachable(desk: Desk, client: TestClient) -> None:
    visit = visits.start(desk, VisitStart(pump=SLIP))
    use = Usage(first=date(2031, 5, 4), last=date(2031, 5, 9), cycles=400)
    desk.keep("usage", use, pump=SLIP)
    assert removal.view(desk, SLIP).attached == "1 visit (1 open) and 1 use"
    page = client.get(f"/pumps/{SLIP}").text
    assert "It has 1 visit (1 open) and 1 use." in page
    assert send(client, reason="sold", do="remove").status_code == 200
    first = client.get("/").text
    assert f'href="/visits/{visit}/do"' in first, "an open visit is never hidden"
    assert "Removed from the lists: 1" in first
    assert f'href="/pumps/{SLIP}"' in first
    for path in (f"/pumps/{SLIP}", f"/pumps/{SLIP}/life", f"/pumps/{SLIP}/record",
                 f"/visits/{visit}/complaint"):  # fmt: skip
        assert client.get(path).status_code == 200, path


def test_nothing_new_is_begun_with_it(desk: Desk, client: TestClient) -> None:
    removal.remove(desk, SLIP)
    with pytest.raises(BadInput, match="restore it first"):
        visits.start(desk, VisitStart(pump=SLIP))
    page = client.get(f"/pumps/{SLIP}/visits").text
    token = page.split('name="_token" value="')[1].split('"')[0]
    answer = client.post(f"/pumps/{SLIP}/visits", data={"_token": token, "reason": "leaks"})
    assert answer.status_code == 422
    assert "restore it first" in answer.text
    assert "leaks" in answer.text
    assert kinds(desk) == ["pump-described", "pump-removed"]


def test_the_page_takes_it_out_and_brings_it_back(desk: Desk, client: TestClient) -> None:
    page = send(client, reason="described by <b>mistake</b>", do="remove")
    assert "Removed from the lists." in page.text
    assert "described by &lt;b&gt;mistake&lt;/b&gt;" in page.text
    assert "Start a visit" not in page.text
    again = send(client, reason="tapped again", do="remove")
    assert again.status_code == 200
    assert kinds(desk).count("pump-removed") == 1
    back = send(client, do="restore")
    assert "Restored to the lists." in back.text
    assert "Start a visit" in back.text
    assert everywhere(desk) == [True] * 5


def test_a_reason_too_long_is_refused_and_nothing_kept(desk: Desk, client: TestClient) -> None:
    answer = send(client, reason="x" * 201, do="remove")
    assert answer.status_code == 422
    assert kinds(desk) == ["pump-described"]


def test_commands_do_the_same(desk: Desk, place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    visits.start(desk, VisitStart(pump=SLIP))

    def said(*words: str, code: int = 0) -> str:
        assert run(["--depot", str(place), *words]) == code
        return " ".join("".join(capsys.readouterr()).split())

    told = said("pump", "remove", SLIP, "--reason", "described by mistake")
    assert "Removed from the lists" in told
    assert "It has 1 visit (1 open)" in told
    assert SLIP not in said("pump", "list")
    assert SLIP in said("pump", "list", "--removed")
    assert f"wetend pump restore {SLIP}" in said("pump", "show", SLIP)
    assert json.loads(said("pump", "show", SLIP, "--json"))["removed"] is True
    assert "restore it first" in said("visit", "start", SLIP, code=2)
    assert json.loads(said("pump", "remove", SLIP, "--json"))["reason"] == "described by mistake"
    assert "is in the lists" in said("pump", "restore", SLIP)
    assert SLIP in said("pump", "list")
    assert "There is no pump" in said("pump", "remove", "nowhere", code=2)
    assert "There is no pump" in said("pump", "restore", "nowhere", code=2)


def test_no_such_pump(desk: Desk) -> None:
    for act in (removal.remove, removal.restore):
        with pytest.raises(NotFound):
            act(desk, "nowhere")


def test_it_is_exported_and_restored_as_removed(desk: Desk, tmp_path: Path) -> None:
    removal.remove(desk, SLIP, "sold")
    told = io.BytesIO()
    exporting.write_export(desk, told)
    with zipfile.ZipFile(told) as packed:
        rows = list(csv.DictReader(io.StringIO(packed.read("pump-removed.csv").decode())))
        described = packed.read("pump-described.csv").decode()
        lives = packed.read("remaining-life.csv").decode()
    assert [(row["pump"], row["reason"]) for row in rows] == [(SLIP, "sold")]
    assert SLIP in described, "nothing entered for it is left out"
    assert SLIP not in lives
    with Depot.open(tmp_path / "restored.sqlite3") as other:
        other.merge(desk.depot.entries())
        assert keys(pumps.list_removed(Desk(other))) == [SLIP]


def test_its_lives_still_teach(desk: Desk) -> None:
    """What a pump lived through is true of its parts, whoever has it now."""
    before = life_facts.facts(desk).fleet.lives
    removal.remove(desk, SLIP)
    assert life_facts.facts(desk).fleet.lives == before
