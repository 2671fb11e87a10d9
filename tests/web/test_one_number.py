"""The next repack is one number from one place: page, paper and command say the same."""

from __future__ import annotations

import html
import io
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient
from pypdf import PdfReader

from wetend.advice.life.next_repack import (
    NextRepack,
    come_back_text,
    do_text,
    volume_span_text,
    volume_text,
)
from wetend.advice.life.outlook import odds_text
from wetend.cli.app import run
from wetend.pump.readings import SetUpRequest, SignOff, VisitStart
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.pump.usage import PartFitted, Usage
from wetend.records.store import Depot
from wetend.units.message import raised
from wetend.units.quantity import M3, unit_of
from wetend.units.show import rough
from wetend.web.app import create_app
from wetend.workflows import handover, life, pumps, visits
from wetend.workflows.desk import Desk

PUMPS = ("quay-air", "yard-hydraulic", "tank-farm")
"""Both demo pumps as described, without any history, and one with two years of it."""
COATINGS = {c.key: c for c in demo_coatings()}
Saying = Callable[..., Any]


@dataclass(frozen=True)
class Place:
    desk: Desk
    client: TestClient
    path: Path
    visits: dict[str, str]

    def read(self, where: str) -> str:
        """A page's words, white space and marks taken out."""
        answer = self.client.get(where)
        assert answer.status_code == 200, where
        return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.text)).split())

    def paper(self, where: str) -> str:
        answer = self.client.get(where)
        assert answer.status_code == 200, where
        pages = PdfReader(io.BytesIO(answer.content)).pages
        return " ".join(" ".join(page.extract_text() for page in pages).split())


@pytest.fixture(scope="module")
def place(
    tmp_path_factory: pytest.TempPathFactory, copy_demo: Callable[[Path], Path]
) -> Iterator[Place]:
    path = copy_demo(tmp_path_factory.mktemp("one") / "depot.sqlite3")
    with Depot.open(path) as depot:
        desk, begun = Desk(depot, who="A. Tester"), {}
        for key in PUMPS:
            if key != "tank-farm":
                pumps.describe(desk, demo_pump(key))
            begun[key] = visits.start(desk, VisitStart(pump=key))
            visits.choose_coating(desk, begun[key], COATINGS["glass-flake-polyester"])
            handover.save_set_up(desk, begun[key], SetUpRequest())
        with TestClient(create_app(depot), base_url="http://localhost") as client:
            yield Place(desk, client, path, begun)


@pytest.fixture
def command(
    place: Place, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Saying:
    monkeypatch.setenv("WETEND_DEPOT", str(place.path))
    monkeypatch.setenv("COLUMNS", "200")

    def speak(*words: str) -> Any:
        capsys.readouterr()
        assert run([*words]) == 0
        out = capsys.readouterr().out
        return json.loads(out) if "--json" in words else " ".join(out.split())

    return speak


def repack(place: Place, key: str) -> NextRepack:
    found = life.repack_of_pump(place.desk, key)
    assert found is not None
    return found


@pytest.mark.parametrize("key", PUMPS)
def test_every_page_paper_and_command_says_the_same_number(
    place: Place, command: Saying, key: str
) -> None:
    one, visit = repack(place, key), place.visits[key]
    words = (do_text(one), odds_text(one.outlook), volume_text(one), volume_span_text(one))
    pages = {where: place.read(where) for where in (
        f"/visits/{visit}/handover", f"/pumps/{key}", f"/pumps/{key}/life")}  # fmt: skip
    pages |= {where: place.paper(where) for where in (
        f"/visits/{visit}/set-up.pdf", f"/visits/{visit}/report.pdf")}  # fmt: skip
    pages |= {" ".join(words_): command(*words_) for words_ in (
        ("handover", visit), ("life", "show", key), ("pump", "show", key))}  # fmt: skip
    for where, text in pages.items():
        for said in words:
            assert said.lower() in text.lower(), (where, said)
    asked = (("handover", visit), ("life", "show", key), ("pump", "show", key))
    answers = [command(*words_, "--json")["repack"] for words_ in asked]
    assert answers[0] == answers[1] == answers[2]
    assert answers[0]["volume"]["middle"] == pytest.approx(one.volume.middle, rel=1e-12)


def test_fleet_and_stores_read_it_too(place: Place, command: Saying) -> None:
    fleet, stores = place.read("/fleet"), place.read("/stores")
    for key in PUMPS:
        one = repack(place, key)
        assert f"{do_text(one)} {raised(odds_text(one.outlook))}" in fleet
    assert "Packings due next" in stores
    assert sum(do_text(repack(place, key)) in stores for key in PUMPS) >= 1
    lines = {line["key"]: line for line in command("fleet", "month", "--json")}
    told = lines["tank-farm"]["repack"]["volume"]["middle"]
    assert told == pytest.approx(repack(place, "tank-farm").volume.middle, rel=1e-12)


def test_no_page_says_it_finer_than_it_is_known(place: Place) -> None:
    text = place.read(f"/visits/{place.visits['quay-air']}/handover")
    litres = re.search(r"After about ([\d,]+) L", text)
    assert litres
    assert re.fullmatch(r"\d{1,2}[0,]*|\d,\d00(,000)*", litres[1]), litres[1]


def test_the_sign_off_is_filled_in_with_it(place: Place, command: Saying) -> None:
    visit = place.visits["quay-air"]
    page = place.client.get(f"/visits/{visit}/handover").text
    typed = re.search(r'name="come_back"[^>]*?>\s*([^<]+)</textarea>', page)
    assert typed
    assert come_back_text(repack(place, "quay-air")) in html.unescape(typed[1])
    signed = command("sign-off", visit, "technician=A. Tester", "--json")["visit"]["sign_off"]
    assert volume_text(repack(place, "quay-air")) in signed["come_back"]
    own = command("sign-off", visit, "technician=A", "come_back=in May", "--json")
    assert own["visit"]["sign_off"]["come_back"] == "in May"


def _fresh(tmp_path: Path) -> tuple[Depot, Desk, str]:
    depot = Depot.open(tmp_path / "own.sqlite3")
    desk = Desk(depot, who="A")
    pumps.describe(desk, demo_pump("quay-air"))
    visit = visits.start(desk, VisitStart(pump="quay-air"))
    visits.choose_coating(desk, visit, COATINGS["alkyd-topcoat"])
    return depot, desk, visit


def test_what_is_said_of_unknown_packings_counts_until_their_fitting_is_entered(
    tmp_path: Path,
) -> None:
    depot, desk, visit = _fresh(tmp_path)
    with depot:
        new = repack_in(desk)
        handover.save_set_up(desk, visit, SetUpRequest(pumped_since_repack=30.0))
        old = repack_in(desk)
        assert old.volume.middle < 0.7 * new.volume.middle
        assert "is not recorded" not in " ".join(old.basis)
        handover.save_set_up(desk, visit, SetUpRequest(pumped_since_repack=None))  # box emptied
        assert repack_in(desk) == new
        handover.save_set_up(desk, visit, SetUpRequest(pumped_since_repack=30.0))
        for part in ("static-packings", "moving-packings"):
            life.save_fitted(desk, "quay-air", PartFitted(part=part, why="planned"))
        # a little sooner: what is known to be fitted today may be among those badly fitted
        fitted = repack_in(desk).volume.middle
        assert 0.9 * new.volume.middle < fitted < 1.02 * new.volume.middle
        assert handover.view(desk, visit).repack_known


def repack_in(desk: Desk) -> NextRepack:
    found = life.repack_of_pump(desk, "quay-air")
    assert found is not None
    return found


def test_a_signed_visit_keeps_the_number_it_was_signed_with(tmp_path: Path) -> None:
    depot, desk, visit = _fresh(tmp_path)
    with depot:
        handover.sign_off(desk, visit, SignOff(technician="A"))
        signed = handover.view(desk, visit).repack
        today = datetime.now(UTC).date()
        usage = Usage(first=today - timedelta(days=300), last=today, pumped=20.0)
        life.save_usage(desk, "quay-air", usage)
        assert handover.view(desk, visit).repack == signed
        assert repack_in(desk).volume.middle < signed.volume.middle


def test_a_coating_put_in_on_a_visit_is_what_wears_it_from_then_on(tmp_path: Path) -> None:
    depot, desk, visit = _fresh(tmp_path)
    with depot:
        today = datetime.now(UTC).date()
        usage = Usage(
            first=today - timedelta(days=60), last=today - timedelta(days=1), pumped=2.0,
            coating="alkyd-topcoat",
        )  # fmt: skip
        life.save_usage(desk, "quay-air", usage)
        mild = repack_in(desk)
        visits.choose_coating(desk, visit, COATINGS["zinc-primer"])
        hard = repack_in(desk)
        assert hard.volume.middle < 0.3 * mild.volume.middle
        assert "zinc" in " ".join(hard.basis).lower()
        later = replace_days(usage, today)  # and use entered later with it makes it the record's
        life.save_usage(desk, "quay-air", later)
        assert not [b for b in repack_in(desk).basis if "from now on" in b]


def replace_days(usage: Usage, today: Any) -> Usage:
    return usage.model_copy(update={"first": today, "last": today, "coating": "zinc-primer"})


def test_two_figures_are_all_that_is_said() -> None:
    assert rough(40.05, unit_of(M3)) == "40,000 L"
