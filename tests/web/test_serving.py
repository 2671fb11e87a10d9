"""The application as a server process makes it."""

from __future__ import annotations

import re

import pytest
from fastapi.testclient import TestClient

from wetend.errors import BadInput
from wetend.web import serving

TOKEN = re.compile(r'name="_token" value="([^"]+)"')


@pytest.fixture
def started(tmp_path, monkeypatch: pytest.MonkeyPatch):
    """A way to start the server's application on one depot, as often as wanted."""
    monkeypatch.setenv("WETEND_DEPOT", str(tmp_path / "depot.sqlite3"))
    monkeypatch.delenv("WETEND_PASSCODE", raising=False)
    monkeypatch.setattr(serving.MODEL, "start", lambda *, after: None)
    monkeypatch.setattr(serving, "work_out_open_visits", lambda _depot, *, after: None)
    opened = []

    def start() -> TestClient:
        app = serving.from_environment()
        opened.append(app.state.depot)
        return TestClient(app, base_url="http://localhost")

    yield start
    for depot in opened:
        depot.close()


@pytest.mark.parametrize("kept", [True, False], ids=["secret kept", "secret lost"])
def test_a_form_opened_before_a_restart_is_taken_after_it(started, tmp_path, kept):
    before = started()
    token = TOKEN.search(before.get("/preferences").text)[1]
    if not kept:
        (tmp_path / "depot.key").unlink()
    after = started()
    after.cookies = before.cookies
    answer = after.post("/preferences", data={"_token": token, "units": "imperial"})
    assert ("Send it again" not in answer.text) is kept


def test_without_a_depot_it_says_so(started, monkeypatch):
    monkeypatch.delenv("WETEND_DEPOT")
    with pytest.raises(BadInput, match="WETEND_DEPOT"):
        serving.from_environment()
