"""Host, passcode, body size and headers, before any page is reached."""

from __future__ import annotations

import html
import re
from pathlib import Path

import own_loop
import pytest
from fastapi.testclient import TestClient

from wetend.errors import StorageFailed
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.web.security_middleware import HEADERS, LARGE_BODY, SMALL_BODY, body_limit

TOKEN = re.compile(r'name="_token" value="([^"]+)"')


@pytest.mark.parametrize(
    "path", ["/", "/nowhere", "/static/site.css", "/static/none.css", "/health", "/calculators"]
)
def test_every_answer_carries_the_security_headers(reader, path: str):
    answer = reader.get(path)
    assert all(answer.headers.get(name) == value for name, value in HEADERS.items())


def test_no_page_is_left_in_a_cache_but_static_files_are(reader):
    assert reader.get("/").headers["cache-control"] == "no-store"
    assert "immutable" in reader.get("/static/site.css").headers["cache-control"]


def test_the_policy_lets_no_script_or_style_in_but_our_own_files():
    policy = HEADERS["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy


@pytest.mark.parametrize("host", ["pump.example", "localhost.example", "10.0.0.7:8642", "", "["])
def test_a_page_is_refused_under_a_name_not_ours(reader, host: str):
    answer = reader.get("/", headers={"host": host})
    assert answer.status_code == 403
    assert "does not answer to that name" in answer.text


def test_another_machine_is_refused_without_a_passcode(shown):
    away = TestClient(shown.app, base_url="http://localhost", client=("10.0.0.9", 5000))
    assert away.get("/").status_code == 403
    here = TestClient(shown.app, base_url="http://localhost", client=("127.0.0.1", 5000))
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
    assert 1 <= int(late.headers["retry-after"]) <= 4


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


def test_too_much_is_refused_by_its_declared_length(reader, shown):
    answer = reader.client.post(
        f"/visits/{shown.open_visit}/notes", content=b"x" * (SMALL_BODY + 1),
        headers={"content-type": "application/x-www-form-urlencoded"},
    )  # fmt: skip
    assert answer.status_code == 413
    assert "nothing was saved" in answer.text


def test_too_much_is_refused_though_no_length_is_declared(reader, shown):
    def stream():
        for _ in range(40):
            yield b"x" * 50_000

    answer = reader.client.post(
        f"/visits/{shown.open_visit}/notes", content=stream(),
        headers={"content-type": "application/x-www-form-urlencoded"},
    )  # fmt: skip
    assert answer.status_code == 413


def test_what_nobody_foresaw_shows_one_sentence_and_no_traceback(reader, monkeypatch, caplog):
    def fails(*_: object) -> None:
        raise ZeroDivisionError("inner workings")

    monkeypatch.setattr("wetend.web.depot.pumps.list_pumps", fails)
    answer = reader.get("/")
    assert answer.status_code == 500
    assert "went wrong on the server" in answer.text
    assert "inner workings" not in answer.text
    assert "Traceback" not in answer.text
    assert answer.headers["content-security-policy"] == HEADERS["Content-Security-Policy"]
    assert "inner workings" in caplog.text


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://elsewhere.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"origin": "http://localhost:9999", "sec-fetch-site": "same-site"},
    ],
)
def test_a_form_from_another_site_does_nothing(reader, shown, headers: dict[str, str]):
    before = len(shown.depot.entries())
    data = {"_token": reader.token(), "text": "planted"}
    answer = reader.client.post(f"/visits/{shown.open_visit}/notes", data=data, headers=headers)
    assert answer.status_code == 403
    assert len(shown.depot.entries()) == before


def test_a_form_from_this_page_itself_is_taken(person, site):
    data = {"_token": person.token(), "text": "from here"}
    own = {"origin": "http://localhost", "sec-fetch-site": "same-origin"}
    answer = person.client.post(f"/visits/{site.open_visit}/notes", data=data, headers=own)
    assert answer.status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors", "sec-fetch-dest": "image"},
        {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate", "sec-fetch-dest": "iframe"},
    ],
)
def test_another_sites_page_can_have_nothing_computed(reader, headers: dict[str, str]):
    path = "/calculators/cup-viscosity?cup=ford-4&time=64"
    assert reader.get(path, headers=headers).status_code == 403


def test_a_link_followed_from_another_site_shows_the_page_without_its_questions(reader):
    headers = {"sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate",
               "sec-fetch-dest": "document"}  # fmt: skip
    answer = reader.client.get(
        "/calculators/cup-viscosity?cup=ford-4&time=64", headers=headers, follow_redirects=False
    )
    assert answer.status_code == 303
    assert answer.headers["location"] == "/calculators/cup-viscosity"


def test_what_was_typed_is_given_back_when_the_pass_ran_out(guarded):
    token = TOKEN.search(guarded.get("/passcode").text)[1]
    asked = guarded.client.post(
        "/pumps/toml", data={"_token": token, "_units": "metric", "toml": "key = 'x'", "_act": "1"}
    )
    assert asked.status_code == 401
    assert "not lost" in asked.text
    fields = re.findall(r'name="([^"]+)" value="([^"]*)"', asked.text)
    hidden = {name: html.unescape(value) for name, value in fields}
    inside = guarded.client.post("/passcode", data={**hidden, "passcode": "ferry gate"})
    assert inside.status_code == 200
    assert 'action="/pumps/toml"' in inside.text
    assert "key = &#39;x&#39;" in inside.text


def test_what_was_typed_is_given_back_when_the_record_cannot_be_written(person, site, monkeypatch):
    def full(*_args: object, **_more: object) -> None:
        raise StorageFailed("The record can't grow: the disk is full.")

    monkeypatch.setattr(site.depot, "append", full)
    answer = person.send(
        f"/visits/{site.open_visit}/handover/sign-off",
        {"technician": "Ann", "found": "Seat chipped"},
    )
    assert answer.status_code == 503
    assert "disk is full" in answer.text
    assert "Seat chipped" in answer.text
    assert "Send again" in answer.text


def test_a_copy_of_a_cookie_given_back_lets_nobody_in(guarded):
    token = TOKEN.search(guarded.get("/passcode").text)[1]
    guarded.client.post("/passcode", data={"_token": token, "passcode": "ferry gate"})
    copied = guarded.client.cookies["wetend-pass"]
    guarded.client.post("/leave", data={"_token": token})
    guarded.client.cookies.set("wetend-pass", copied)
    assert guarded.get("/").status_code == 401


def test_a_form_whose_sender_goes_away_is_no_fault_of_ours(shown, caplog):
    """A connection lost on the way: nothing is kept, and no trace of an error fills the log."""
    came = iter([
        {"type": "http.request", "body": b"text=half", "more_body": True},
        {"type": "http.disconnect"},
    ])  # fmt: skip
    sent = []

    async def receive():
        return next(came)

    async def send(message):
        sent.append(message)

    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST",
        "scheme": "http", "path": "/preferences", "raw_path": b"/preferences", "query_string": b"",
        "root_path": "", "client": ("127.0.0.1", 5000), "server": ("localhost", 80),
        "headers": [
            (b"host", b"localhost"), (b"content-length", b"500"),
            (b"content-type", b"application/x-www-form-urlencoded"),
        ],
    }  # fmt: skip
    own_loop.run(shown.app(scope, receive, send))
    assert sent[0]["status"] == 400
    assert caplog.records == []
