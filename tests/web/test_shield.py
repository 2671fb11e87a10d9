"""Host, passcode, body size and headers, before any page is reached."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.web.shield import HEADERS, LARGE_BODY, SMALL_BODY, body_limit

TOKEN = re.compile(r'name="_token" value="([^"]+)"')


@pytest.mark.parametrize(
    "path", ["/", "/nowhere", "/static/site.css", "/static/none.css", "/health", "/calculators"]
)
def test_every_answer_carries_the_security_headers(person, path: str):
    answer = person.get(path)
    assert all(answer.headers.get(name) == value for name, value in HEADERS.items())


def test_no_page_is_left_in_a_cache_but_static_files_are(person):
    assert person.get("/").headers["cache-control"] == "no-store"
    assert "immutable" in person.get("/static/site.css").headers["cache-control"]


def test_the_policy_lets_no_script_or_style_in_but_our_own_files():
    policy = HEADERS["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy


@pytest.mark.parametrize("host", ["pump.example", "localhost.example", "10.0.0.7:8642", "", "["])
def test_a_page_is_refused_under_a_name_not_ours(person, host: str):
    answer = person.get("/", headers={"host": host})
    assert answer.status_code == 403
    assert "does not go by that name" in answer.text


def test_another_machine_is_refused_without_a_passcode(site):
    away = TestClient(site.app, base_url="http://localhost", client=("10.0.0.9", 5000))
    assert away.get("/").status_code == 403
    here = TestClient(site.app, base_url="http://localhost", client=("127.0.0.1", 5000))
    assert here.get("/").status_code == 200


def test_another_machine_is_let_in_with_the_passcode(tmp_path: Path):
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        app = create_app(depot, passcode="ferry gate")
        away = TestClient(app, base_url="http://192.168.7.2:8642", client=("192.168.7.9", 5000))
        assert away.get("/").status_code == 401
        token = TOKEN.search(away.get("/passcode").text)[1]
        away.post("/passcode", data={"_token": token, "passcode": "ferry gate"})
        assert away.get("/").status_code == 200


def test_without_the_passcode_no_page_and_no_photo_is_shown(guarded):
    for path in ("/", "/pumps/x", "/gallery", "/preferences", "/photos/" + "a" * 64, "/nowhere"):
        answer = guarded.get(path)
        assert answer.status_code == 401
        assert "Passcode of this depot" in answer.text
    assert guarded.get("/static/site.css").status_code == 200
    assert guarded.get("/health").text == "ok"


def test_the_passcode_leads_back_to_the_page_asked_for(guarded):
    page = guarded.get("/calculators")
    token = TOKEN.search(page.text)[1]
    data = {"_token": token, "passcode": "ferry gate", "back": "/calculators"}
    answer = guarded.client.post("/passcode", data=data, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/calculators")
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert guarded.get("/calculators").status_code == 200


def test_a_wrong_passcode_is_refused_and_too_many_wait(guarded):
    token = TOKEN.search(guarded.get("/passcode").text)[1]
    wrong = {"_token": token, "passcode": "ferry"}
    statuses = [guarded.client.post("/passcode", data=wrong).status_code for _ in range(6)]
    assert statuses == [403] * 5 + [429]
    right = {"_token": token, "passcode": "ferry gate"}
    late = guarded.client.post("/passcode", data=right)
    assert late.status_code == 429
    assert late.headers["retry-after"] == "60"


def test_the_way_back_after_the_passcode_stays_on_this_server(guarded):
    token = TOKEN.search(guarded.get("/passcode").text)[1]
    data = {"_token": token, "passcode": "ferry gate", "back": "//elsewhere.example/"}
    answer = guarded.client.post("/passcode", data=data, follow_redirects=False)
    assert answer.headers["location"] == "/"


def test_locking_asks_for_the_passcode_again(guarded):
    token = TOKEN.search(guarded.get("/passcode").text)[1]
    guarded.client.post("/passcode", data={"_token": token, "passcode": "ferry gate"})
    token = TOKEN.search(guarded.get("/").text)[1]
    guarded.client.post("/leave", data={"_token": token})
    assert guarded.get("/").status_code == 401


def test_files_may_be_larger_than_forms():
    assert body_limit("/visits/x/photos", "multipart/form-data; boundary=x") == LARGE_BODY
    assert body_limit("/pumps/toml", "multipart/form-data; boundary=x") == LARGE_BODY
    assert body_limit("/visits/x/photos", "application/x-www-form-urlencoded") == SMALL_BODY
    assert body_limit("/visits/x/checks", "multipart/form-data; boundary=x") == SMALL_BODY


def test_too_much_is_refused_by_its_declared_length(person, site):
    answer = person.client.post(
        f"/visits/{site.open_visit}/notes", content=b"x" * (SMALL_BODY + 1),
        headers={"content-type": "application/x-www-form-urlencoded"},
    )  # fmt: skip
    assert answer.status_code == 413
    assert "nothing was saved" in answer.text


def test_too_much_is_refused_though_no_length_is_declared(person, site):
    def stream():
        for _ in range(40):
            yield b"x" * 50_000

    answer = person.client.post(
        f"/visits/{site.open_visit}/notes", content=stream(),
        headers={"content-type": "application/x-www-form-urlencoded"},
    )  # fmt: skip
    assert answer.status_code == 413


def test_what_nobody_foresaw_shows_one_sentence_and_no_traceback(person, monkeypatch, caplog):
    def fails(*_: object) -> None:
        raise ZeroDivisionError("inner workings")

    monkeypatch.setattr("wetend.web.depot.pumps.list_pumps", fails)
    answer = person.get("/")
    assert answer.status_code == 500
    assert "did not foresee" in answer.text
    assert "inner workings" not in answer.text
    assert "Traceback" not in answer.text
    assert answer.headers["content-security-policy"] == HEADERS["Content-Security-Policy"]
    assert "inner workings" in caplog.text
