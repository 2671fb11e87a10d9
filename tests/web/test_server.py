"""The application as a server process makes it."""

from __future__ import annotations

import re
import socket
import threading
import time

import pytest
import uvicorn
from fastapi.testclient import TestClient
from sqlalchemy import text

from wetend.errors import BadInput
from wetend.records.store import Depot
from wetend.web import request_timeout, server
from wetend.web.app import create_app

TOKEN = re.compile(r'name="_token" value="([^"]+)"')


@pytest.fixture
def started(depot_place, monkeypatch: pytest.MonkeyPatch):
    """A way to start the server's application on one depot, as often as wanted."""
    monkeypatch.setenv("WETEND_DEPOT", depot_place)
    Depot.open(depot_place).close()
    monkeypatch.delenv("WETEND_PASSCODE", raising=False)
    opened = []

    def start() -> TestClient:
        app = server.from_environment()
        opened.append(app.state.depot)
        return TestClient(app, base_url="http://localhost")

    yield start
    for depot in opened:
        depot.close()


@pytest.mark.parametrize("kept", [True, False], ids=["secret kept", "secret lost"])
def test_a_form_opened_before_a_restart_is_taken_after_it(started, depot_place, tmp_path, kept):
    """Whichever the database: the secret is beside the SQLite file, or in PostgreSQL itself."""
    before = started()
    token = TOKEN.search(before.get("/preferences").text)[1]
    if not kept:
        (tmp_path / "depot.key").unlink(missing_ok=True)
        with Depot.open(depot_place) as depot, depot._writer.begin() as connection:
            connection.execute(text("delete from about where name = 'secret'"))
    after = started()
    after.cookies = before.cookies
    answer = after.post("/preferences", data={"_token": token, "units": "imperial"})
    assert ("Send again" not in answer.text) is kept


def test_without_a_depot_it_says_so(started, monkeypatch):
    monkeypatch.delenv("WETEND_DEPOT")
    with pytest.raises(BadInput, match="WETEND_DEPOT"):
        server.from_environment()


def test_a_request_sent_by_half_is_hung_up_on(monkeypatch, tmp_path):
    """A head that never ends, in the server as it is started, with the wait cut short."""
    monkeypatch.setattr(request_timeout, "HEAD_SECONDS", 0.3)
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        config = uvicorn.Config(
            create_app(depot), port=0, log_level="error", http=request_timeout.HeadTimeoutProtocol
        )
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        give_up = time.monotonic() + 20
        while not server.started and time.monotonic() < give_up:
            time.sleep(0.02)
        port = server.servers[0].sockets[0].getsockname()[1]
        with socket.create_connection(("127.0.0.1", port), timeout=20) as half:
            half.sendall(b"GET / HTTP/1.1\r\nHost: local")
            assert half.recv(10) == b""
        with socket.create_connection(("127.0.0.1", port), timeout=20) as whole:
            whole.sendall(b"GET /health HTTP/1.1\r\nHost: localhost\r\n\r\n")
            assert whole.recv(12) == b"HTTP/1.1 200"
        server.should_exit = True
        thread.join(10)
