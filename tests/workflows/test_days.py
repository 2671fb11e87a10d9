"""What was done lies behind: a day to come is refused by form, command and table alike."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from wetend.cli.app import run
from wetend.errors import BadInput
from wetend.pump.readings import VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import days, pumps, visits
from wetend.workflows.days import refuse_future, today_here
from wetend.workflows.desk import Desk

NOW = datetime(2031, 5, 4, 23, 30, tzinfo=UTC)
TODAY, TO_COME = "2031-05-04", "2031-05-06"


@pytest.fixture
def place(tmp_path: Path) -> Path:
    return tmp_path / "depot.sqlite3"


@pytest.fixture
def desk(place: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Desk]:
    """A depot of one pump, on the fourth of May 2031."""

    class Clock(datetime):
        @classmethod
        def now(cls, tz=None):
            return NOW

    monkeypatch.setattr(days, "datetime", Clock)
    with Depot.open(place) as depot:
        pumps.describe(Desk(depot), demo_pump("quay-air"))
        yield Desk(depot)


@pytest.fixture
def client(desk: Desk) -> TestClient:
    return TestClient(create_app(desk.depot), base_url="http://localhost")


def test_today_is_as_late_as_utc_or_this_machine_has_it(desk: Desk) -> None:
    assert today_here() in (date(2031, 5, 4), date(2031, 5, 5))
    refuse_future(first=today_here(), last=today_here(), on=None)
    with pytest.raises(BadInput, match=r"Last day: .* is in the future") as why:
        refuse_future(first=today_here(), last=today_here() + timedelta(days=1))
    assert [p.field for p in why.value.problems] == ["last"]


FORMS = [
    ("use", {"first": TODAY, "last": TO_COME, "cycles": "400"}, "Last day"),
    ("use", {"first": TO_COME, "last": TO_COME, "cycles": "400"}, "First day"),
    ("fitted", {"part": "foot-ball", "why": "worn out", "on": TO_COME}, "Day"),
    ("nozzle", {"on": TO_COME, "volume": "1 L", "time": "40 s", "pressure": "200 bar"}, "Day"),
]


def send(client: TestClient, form: str, fields: dict[str, str]):
    page = client.get("/pumps/quay-air/life").text
    token = page.split('name="_token" value="')[1].split('"')[0]
    return client.post(f"/pumps/quay-air/life/{form}", data={"_token": token, **fields})


@pytest.mark.parametrize(("form", "fields", "label"), FORMS)
def test_a_form_refuses_it_and_gives_back_what_was_typed(
    desk: Desk, client: TestClient, form: str, fields: dict[str, str], label: str
) -> None:
    answer = send(client, form, fields)
    assert answer.status_code == 422
    assert f"{label}: {TO_COME} is in the future" in answer.text
    assert f'value="{TO_COME}"' in answer.text
    assert len(desk.depot.entries()) == 1
    past = {name: TODAY if text == TO_COME else text for name, text in fields.items()}
    assert send(client, form, past).status_code == 200
    assert len(desk.depot.entries()) == 2


@pytest.mark.parametrize(
    ("words", "label"),
    [
        (f"life used quay-air first={TODAY} last={TO_COME} cycles=400", "Last day"),
        (f"life fitted quay-air part=foot-ball on={TO_COME}", "Day"),
        (f"life nozzle quay-air on={TO_COME} fan=30cm fan_new=28cm", "Day"),
        (f"fitted last foot-ball=new --on {TO_COME}", "Day"),
    ],
)
def test_a_command_refuses_it_in_one_sentence(
    desk: Desk, place: Path, capsys: pytest.CaptureFixture[str], words: str, label: str
) -> None:
    visits.start(desk, VisitStart(pump="quay-air"))
    before = [e.id for e in desk.depot.entries()]
    assert run(["--depot", str(place), *words.split()]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert f"{label}: {TO_COME} is in the future; enter it when it is over." in told
    assert [e.id for e in desk.depot.entries()] == before


def test_a_table_refuses_a_use_that_ends_in_the_future(
    desk: Desk, place: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "uses.csv"
    table.write_text(f"pump,day,last,cycles\nquay-air,{TODAY},{TO_COME},400\n", encoding="utf-8")
    run(["--depot", str(place), "import", str(table)])
    told = "".join(capsys.readouterr())
    assert f"Last day: {TO_COME} is in the future" in " ".join(told.split())
    assert len(desk.depot.entries()) == 1
