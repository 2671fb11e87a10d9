"""A depot served over HTTPS by a certificate of its own."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
import uvicorn

from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.web.lan.serving import Certified


@pytest.fixture
def certified(tmp_path: Path) -> Certified:
    return Certified(tmp_path / "lan")


@pytest.fixture
def secure(certified: Certified, tmp_path: Path) -> Iterator[SimpleNamespace]:
    """An empty depot's pages, served over HTTPS to this machine."""
    certificate, key = certified.files
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        config = uvicorn.Config(
            create_app(depot, passcode="ferry gate"), host="127.0.0.1", port=0,
            log_level="critical", ssl_certfile=certificate, ssl_keyfile=key,
            timeout_graceful_shutdown=1,
        )  # fmt: skip
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, daemon=True)
        thread.start()
        while not server.started:
            assert thread.is_alive()
            time.sleep(0.005)
        port = server.servers[0].sockets[0].getsockname()[1]
        yield SimpleNamespace(certified=certified, config=config, port=port)
        server.should_exit = True
        thread.join(60.0)
