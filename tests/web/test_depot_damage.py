"""A damaged depot behind the pages: each page says so in a line, and shows the rest."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Callable
from contextlib import closing
from io import BytesIO
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from PIL import Image

from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.web.warm_up import look_for_damage
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

TOKEN = re.compile(r'name="_token" value="([^"]+)"')
LISTS = ("/", "/fleet", "/stores", "/calculators", "/practice", "/preferences", "/import")


@pytest.fixture
def copy(copy_demo: Callable[[Path], Path], tmp_path: Path) -> Path:
    return copy_demo(tmp_path / "d.sqlite3")


def client_of(depot: Depot, **more: str) -> TestClient:
    return TestClient(create_app(depot, **more), base_url="http://localhost")


def change(path: Path, sql: str) -> None:
    with closing(sqlite3.connect(path)) as raw, raw:
        raw.execute(sql)


def test_a_page_names_what_is_left_out(copy: Path) -> None:
    change(
        copy, "update entries set who = 'x' where kind = 'pump-described' and pump = 'north-quay'"
    )
    with Depot.open(copy) as depot, client_of(depot) as client:
        for path in LISTS:
            answer = client.get(path)
            assert answer.status_code == 200, path
        shown = client.get("/").text
    assert 'role="alert"' in shown
    assert "1 entry is damaged and left out: pump-described of north-quay" in shown
    assert "/pumps/north-quay" not in shown
    assert shown.count("/pumps/") > 5


@pytest.mark.parametrize(
    "kind",
    ["pump-described", "visit-started", "complaint", "coating", "make-safe", "check-readings",
     "tool-bag", "strip-progress", "ball", "stack", "rebuild-progress", "proof", "sign-off",
     "usage", "part-fitted"],
)  # fmt: skip
def test_no_kind_of_entry_shuts_the_lists(copy: Path, kind: str) -> None:
    """One of each kind damaged: every list still answers, and the visits that can be shown are."""
    change(copy, f"update entries set who = 'x' where id = (select max(id) from entries where "
                 f"kind = '{kind}')")  # fmt: skip
    with Depot.open(copy) as depot, client_of(depot) as client:
        for path in LISTS:
            assert client.get(path).status_code == 200, path
        for line in pumps.list_pumps(Desk(depot)):
            assert client.get(f"/pumps/{line.pump.key}").status_code == 200, line.pump.key
            assert client.get(f"/pumps/{line.pump.key}/life").status_code in (200, 404)
        for visit in visits.open_visits(Desk(depot)):
            answer = client.get(f"/visits/{visit.id}/complaint")
            assert answer.status_code in (200, 404)
            assert answer.status_code == 200 or "damaged" in answer.text


def test_a_broken_file_is_shown_and_takes_nothing(copy: Path) -> None:
    data = bytearray(copy.read_bytes())
    page = len(data) // 2 // 4096 * 4096
    data[page : page + 4096] = bytes(4096)
    copy.write_bytes(data)
    with Depot.open(copy) as depot, client_of(depot) as client:
        shown = client.get("/").text
        visit = visits.open_visits(Desk(depot))[0].id
        token = TOKEN.search(shown)[1]
        kept = client.post(f"/visits/{visit}/notes", data={"_token": token, "text": "hello"})
    assert "wetend doctor --mend" in shown
    assert kept.status_code == 503
    assert "nothing is written to it" in kept.text


def test_damage_is_not_told_to_strangers(copy: Path) -> None:
    change(copy, "update entries set who = 'x' where kind = 'pump-described'")
    with Depot.open(copy) as depot, client_of(depot, passcode="ferry gate") as client:
        depot.entries()
        assert depot.notices
        assert "damaged" not in client.get("/").text


def test_a_depot_behind_the_pages_is_looked_through(copy: Path) -> None:
    """Damage that nobody has come across yet, found by the server itself."""
    change(
        copy, "delete from entries where id = (select max(id) from entries where kind = 'usage')"
    )
    with Depot.open(copy) as depot, client_of(depot) as client:
        assert "missing" not in client.get("/preferences").text
        assert look_for_damage(depot, after=0.0).ended.wait(60)
        assert "1 entry is missing" in client.get("/preferences").text


def test_a_damaged_photo_says_so(copy: Path) -> None:
    file = BytesIO()
    Image.new("RGB", (8, 8), "red").save(file, "PNG")
    with Depot.open(copy) as depot, client_of(depot) as client:
        visit = visits.open_visits(Desk(depot))[0].id
        photo = visits.add_photo(Desk(depot), visit, file.getvalue())
        page = f"/visits/{visit}/complaint"
        assert f'src="/photos/{photo.sha256}"' in client.get(page).text
        path = depot.photos.path_of(photo.sha256, photo.media)
        for spoil in (lambda: path.write_bytes(b"spoilt"), path.unlink):
            spoil()
            shown = client.get(page).text
            assert f'src="/photos/{photo.sha256}"' not in shown
            assert f"damaged or missing ({photo.sha256[:12]})" in shown
