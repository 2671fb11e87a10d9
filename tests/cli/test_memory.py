"""``wetend memory``: what is held of computed answers, here or by a running server."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest
import uvicorn

from wetend.records.store import Depot
from wetend.web.app import create_app

PATIENCE = 60.0


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Callable[..., str]]:
    """Starts servers of an empty depot; gives their addresses."""
    ends: list[Callable[[], object]] = []

    def start(passcode: str | None = None) -> str:
        depot = Depot.open(tmp_path / f"served-{len(ends)}.sqlite3")
        app = create_app(depot, passcode=passcode)
        made = uvicorn.Server(uvicorn.Config(app, port=0, log_level="error"))
        thread = threading.Thread(target=made.run, daemon=True)
        thread.start()
        while not made.started:
            assert thread.is_alive()
            threading.Event().wait(0.01)

        def end() -> None:
            made.should_exit = True
            thread.join(PATIENCE)
            depot.close()

        ends.append(end)
        return f"http://127.0.0.1:{made.servers[0].sockets[0].getsockname()[1]}"

    yield start
    for end in ends:
        end()


def test_what_a_server_of_this_depot_would_hold_is_said(
    say: Callable, copy_demo: Callable[[Path], Path], tmp_path: Path
) -> None:
    copy_demo(tmp_path / "depot.sqlite3")
    told = say("memory", "--json").json
    held = {memory["name"]: memory for memory in told["held"]}
    assert held["lives of a depot's pumps"]["entries"] >= 1
    assert held["diagnoses"]["bytes"] > 0
    assert told["bytes"] == sum(memory["bytes"] for memory in told["held"])
    assert all(memory["most"] is None for memory in told["tables"])
    said = say("memory").out
    assert "Cached results:" in said
    assert "diagnoses" in said


def test_a_running_server_is_asked(say: Callable, server: Callable[..., str]) -> None:
    told = say("memory", "--at", server(), "--json").json
    assert told["background"]["failed"] >= 0
    assert {memory["name"] for memory in told["held"]} >= {"diagnoses", "parts judged"}


def test_a_guarded_server_says_where_to_look(say: Callable, server: Callable[..., str]) -> None:
    said = say("memory", "--at", server("ferry gate"))
    assert said.code == 2
    assert "/memory in a browser" in said.err


class _Other(BaseHTTPRequestHandler):
    """Some other server."""

    def do_GET(self) -> None:
        self.send_response(200)
        self.end_headers()
        self.wfile.write(b"{}")

    def log_message(self, *_: object) -> None:
        """Keep quiet."""


def test_what_is_no_server_of_ours_is_told_in_a_sentence(say: Callable) -> None:
    other = HTTPServer(("127.0.0.1", 0), _Other)
    thread = threading.Thread(target=other.handle_request, daemon=True)
    thread.start()
    said = say("memory", "--at", f"127.0.0.1:{other.server_port}")
    thread.join(PATIENCE)
    other.server_close()
    assert said.code == 1
    assert "not a wetend server" in said.err
    gone = say("memory", "--at", f"http://127.0.0.1:{other.server_port}")
    assert gone.code == 1
    assert "No server answers" in gone.err


@pytest.mark.parametrize("address", ["ftp://x", "http://", "http://x:99999", "http://x:y"])
def test_what_is_no_address_is_refused(say: Callable, address: str) -> None:
    said = say("memory", "--at", address)
    assert said.code == 2
    assert "is not an address" in said.err
