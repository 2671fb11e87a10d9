"""The server killed in the middle of saving, fifty times over, loses nothing it said it had kept.

An entry counts as acknowledged when the browser has been sent on after the form (status 303).
"""

from __future__ import annotations

import os
import random
import re
import signal
import socket
import threading
import time
from multiprocessing import get_context
from multiprocessing.process import BaseProcess
from pathlib import Path

import httpx
import pytest
import uvicorn

from wetend.pump.readings import VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.entries import payload_of
from wetend.records.store import Depot
from wetend.web.serving import from_environment
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

KILLS = 50
WRITERS = 3


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def serve(depot: str, port: int) -> None:
    """The server process, as ``wetend serve`` runs it."""
    os.environ["WETEND_DEPOT"] = depot
    os.environ["WETEND_PASSCODE"] = ""
    uvicorn.run(from_environment(), host="127.0.0.1", port=port, log_level="critical")


def start_server(depot: Path, port: int) -> BaseProcess:
    """A server process of its own, up and answering."""
    server = get_context("fork").Process(target=serve, args=(str(depot), port), daemon=True)
    server.start()
    for _ in range(1500):
        try:
            httpx.get(f"http://127.0.0.1:{port}/health", timeout=1.0, trust_env=False)
        except httpx.TransportError:
            assert server.is_alive(), "the server ended by itself"
            time.sleep(0.02)
        else:
            return server
    server.kill()
    raise AssertionError("the server did not answer within 30 s")


class Writer(threading.Thread):
    """Saves one complaint after another and notes which were acknowledged."""

    def __init__(self, page: str, name: str) -> None:
        super().__init__(daemon=True)
        self.page, self.prefix = page, name
        self.acknowledged: list[str] = []
        self.sent = 0

    def run(self) -> None:
        with httpx.Client(timeout=5.0, trust_env=False) as client:
            try:
                shown = client.get(self.page).text
                token = re.search(r'name="_token"\s+value="([^"]+)"', shown)
                assert token is not None
                while True:
                    said = f"{self.prefix} entry {self.sent} " + "x" * 3000
                    self.sent += 1
                    answer = client.post(self.page, data={"_token": token[1], "said": said})
                    if answer.status_code == 303:
                        self.acknowledged.append(said)
            except httpx.TransportError:
                return  # the server is gone


@pytest.mark.slow
@pytest.mark.timeout(600)
def test_no_acknowledged_entry_is_lost_and_none_is_half_written(tmp_path: Path) -> None:
    where = tmp_path / "depot.sqlite3"
    with Depot.open(where) as depot:
        desk = Desk(depot)
        pumps.describe(desk, demo_pump("quay-air"))
        opened = [visits.start(desk, VisitStart(pump="quay-air")) for _ in range(KILLS)]
    dice = random.Random(7)
    acknowledged: set[str] = set()
    sent = 0
    for kill, visit in enumerate(opened):
        port = free_port()
        server = start_server(where, port)
        page = f"http://127.0.0.1:{port}/visits/{visit}/complaint"
        writers = [Writer(page, f"kill {kill} writer {w}") for w in range(WRITERS)]
        for writer in writers:
            writer.start()
        time.sleep(dice.uniform(0.15, 0.5))
        assert server.pid is not None
        os.kill(server.pid, signal.SIGKILL)
        server.join()
        for writer in writers:
            writer.join(timeout=20)
            assert not writer.is_alive()
            acknowledged.update(writer.acknowledged)
            sent += writer.sent
    with Depot.open(where) as depot:
        kept = [payload_of(e) for e in depot.entries(kinds=("complaint",))]
    said = [k.said for k in kept]  # type: ignore[attr-defined]
    assert acknowledged, "no entry was acknowledged at all: the test proves nothing"
    assert acknowledged <= set(said), "an acknowledged entry is lost"
    assert len(said) == len(set(said)) <= sent
    assert all(s.endswith("x" * 3000) for s in said), "a half-written entry"
