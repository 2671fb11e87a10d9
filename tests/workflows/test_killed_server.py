"""The server killed in the middle of saving, time and again, loses nothing it said it had kept.

An entry counts as acknowledged when the browser has been sent on after the form (status 303).
``benchmarks/kills.py`` kills a thousand times (docs/reliability.md).
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
from typing import Any

import httpx
import pytest
import uvicorn
from fastapi.testclient import TestClient

from wetend.pump.readings import VisitStart
from wetend.pump.toml import demo_pump
from wetend.records.entries import payload_of
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.web.server import from_environment
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

KILLS = 12
WRITERS = 3
PATIENCE = 120.0
"""Seconds to wait for what comes at once unless the machine is busy."""
CALLS: dict[str, Any] = {"timeout": PATIENCE, "trust_env": False, "verify": False}


def serve(depot: str, listening: socket.socket) -> None:
    """The server process, as ``wetend serve`` runs it."""
    os.environ["WETEND_DEPOT"] = depot
    os.environ["WETEND_PASSCODE"] = ""
    config = uvicorn.Config(from_environment(), log_level="critical")
    uvicorn.Server(config).run(sockets=[listening])


def start_server(depot: Path) -> tuple[BaseProcess, int]:
    """A server process of its own, up and answering, and its port.

    The socket is bound here and handed on, so that no other program takes the port meanwhile; who
    calls before the server is up waits in the socket's queue.
    """
    with socket.create_server(("127.0.0.1", 0)) as listening:
        port = int(listening.getsockname()[1])
        server = get_context("fork").Process(
            target=serve, args=(str(depot), listening), daemon=True
        )
        server.start()
    httpx.get(f"http://127.0.0.1:{port}/health", **CALLS)
    return server, port


def warm_up(depot: Depot, visit: str) -> None:
    """Read in here, once, what each server would otherwise read in anew."""
    with TestClient(create_app(depot), base_url="http://localhost") as client:
        assert client.get(f"/visits/{visit}/complaint").status_code == 200


class Writer(threading.Thread):
    """Saves one complaint after another and notes which were acknowledged."""

    def __init__(self, page: str, name: str, kept: threading.Event) -> None:
        super().__init__(daemon=True)
        self.page, self.prefix, self.kept = page, name, kept
        self.acknowledged: list[str] = []
        self.sent = 0

    def run(self) -> None:
        with httpx.Client(**CALLS) as client:
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
                        self.kept.set()
            except httpx.TransportError:
                return  # the server is gone


@pytest.mark.slow
def test_no_acknowledged_entry_is_lost_and_none_is_half_written(tmp_path: Path) -> None:
    where = tmp_path / "depot.sqlite3"
    with Depot.open(where) as depot:
        desk = Desk(depot)
        pumps.describe(desk, demo_pump("quay-air"))
        opened = [visits.start(desk, VisitStart(pump="quay-air")) for _ in range(KILLS)]
        warm_up(depot, opened[0])
    dice = random.Random(7)
    acknowledged: set[str] = set()
    sent = 0
    for kill, visit in enumerate(opened):
        server, port = start_server(where)
        page = f"http://127.0.0.1:{port}/visits/{visit}/complaint"
        kept = threading.Event()
        writers = [Writer(page, f"kill {kill} writer {w}", kept) for w in range(WRITERS)]
        for writer in writers:
            writer.start()
        assert kept.wait(PATIENCE), "no entry was acknowledged"
        time.sleep(dice.uniform(0.0, 0.1))  # somewhere among the saves that go on meanwhile
        assert server.pid is not None
        os.kill(server.pid, signal.SIGKILL)
        server.join()
        for writer in writers:
            writer.join(timeout=PATIENCE)
            assert not writer.is_alive()
            acknowledged.update(writer.acknowledged)
            sent += writer.sent
    with Depot.open(where) as depot:
        held = [payload_of(e) for e in depot.entries(kinds=("complaint",))]
    said = [h.said for h in held]  # type: ignore[attr-defined]
    assert len(acknowledged) >= KILLS
    assert acknowledged <= set(said), "an acknowledged entry is lost"
    assert len(said) == len(set(said)) <= sent
    assert all(s.endswith("x" * 3000) for s in said), "a half-written entry"
