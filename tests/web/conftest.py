"""A demo depot behind the pages, a client that fills in forms, and a server for the browser."""

from __future__ import annotations

import html
import random
import re
import socket
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from urllib.parse import quote

import httpx2
import pytest
import uvicorn
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, sync_playwright

from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import pumps, visits
from wetend.workflows.desk import Desk

WHO = "R. Okafor (invented)"
TOKEN = re.compile(r'name="_token" value="([^"]+)"')
Fields = Mapping[str, str | Sequence[str]]


@dataclass(frozen=True)
class Site:
    """A demo depot with its application, and two of its visits."""

    depot: Depot
    app: FastAPI
    open_visit: str
    closed_visit: str
    pump: str


@pytest.fixture(autouse=True)
def same_exercises(monkeypatch: pytest.MonkeyPatch) -> None:
    """Practice draws the same exercises at every run."""
    drawn = SimpleNamespace(randbelow=random.Random(5).randrange)
    monkeypatch.setattr("wetend.workflows.practice.secrets", drawn)


def cautions_on(text: str) -> list[str]:
    """Texts of the cautions in a page or a part of one, in their order."""
    found: list[str] = []
    for box in html.unescape(text).split('class="caution ')[1:]:
        alone = re.match(
            r".*?<strong>\w+\.</strong> (.*?)</p>", box.partition("<ul>")[0], re.DOTALL
        )
        if alone:
            found.append(alone[1])
        else:
            found += re.findall(r"<li>(.*?)</li>", box.partition("</ul></div>")[0], re.DOTALL)
    return found


@dataclass
class Person:
    """Someone at a browser: gets pages, and sends forms with the token of a page."""

    client: TestClient

    def get(self, path: str, **more: object) -> httpx2.Response:
        return self.client.get(path, **more)

    def token(self) -> str:
        found = TOKEN.search(self.client.get("/preferences").text)
        assert found
        return found[1]

    def send(
        self, path: str, fields: Fields, *, files: Mapping[str, bytes] | None = None
    ) -> httpx2.Response:
        data = {"_token": self.token(), **{k: v if isinstance(v, str) else list(v)
                                           for k, v in fields.items()}}  # fmt: skip
        sent = {name: ("a file", content) for name, content in (files or {}).items()}
        return self.client.post(path, data=data, files=sent or None)


def site_of(depot: Depot) -> Site:
    """A site over a demo depot."""
    desk = Desk(depot)
    closed = next(
        v
        for line in pumps.list_pumps(desk)
        for v in pumps.view(desk, line.pump.key).history
        if v.closed
    )
    opened = visits.open_visits(desk)[0]
    return Site(depot, create_app(depot), opened.id, closed.id, closed.pump)


@pytest.fixture(scope="session")
def site(
    tmp_path_factory: pytest.TempPathFactory, copy_demo: Callable[[Path], Path]
) -> Iterator[Site]:
    """A demo depot shared by tests that only add to it."""
    place = copy_demo(tmp_path_factory.mktemp("site") / "depot.sqlite3")
    with Depot.open(place) as depot:
        yield site_of(depot)


@pytest.fixture
def person(site: Site) -> Iterator[Person]:
    """Someone with a browser of their own at the demo depot."""
    with TestClient(site.app, base_url="http://localhost", raise_server_exceptions=False) as client:
        client.cookies.set("wetend-who", quote(WHO))
        yield Person(client)


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Person]:
    """Someone at an empty depot, where any error of the server's shows as itself."""
    with (
        Depot.open(tmp_path / "bare.sqlite3") as depot,
        TestClient(create_app(depot), base_url="http://localhost") as client,
    ):
        yield Person(client)


@pytest.fixture(scope="session")
def address(site: Site) -> Iterator[str]:
    """The demo depot served on a port of its own."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = uvicorn.Server(uvicorn.Config(site.app, port=port, log_level="error"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    give_up = time.monotonic() + 20
    while not server.started and time.monotonic() < give_up:
        time.sleep(0.02)
    yield f"http://127.0.0.1:{port}"
    server.should_exit = True
    thread.join(10)


class Server:
    """The depot's pages on one port, stopped and started at will."""

    def __init__(self, depot: Depot, passcode: str | None = None) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.depot, self.passcode = depot, passcode
        self.start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        app = create_app(self.depot, passcode=self.passcode, secret=b"the same after a restart")
        config = uvicorn.Config(
            app, port=self.port, log_level="critical", timeout_graceful_shutdown=1
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        give_up = time.monotonic() + 20
        while not self._server.started and time.monotonic() < give_up:
            time.sleep(0.02)

    def stop(self) -> None:
        self._server.should_exit = True
        self._thread.join(10)


@pytest.fixture
def serving() -> Iterator[Callable[..., Server]]:
    """Starts servers of a depot's pages that can be stopped in the middle."""
    made: list[Server] = []

    def start(depot: Depot, passcode: str | None = None) -> Server:
        made.append(Server(depot, passcode))
        return made[-1]

    yield start
    for server in made:
        server.stop()


@pytest.fixture
def guarded(tmp_path: Path) -> Iterator[Person]:
    """Someone at an empty depot guarded by the passcode ``ferry gate``."""
    with Depot.open(tmp_path / "guarded.sqlite3") as depot:
        app = create_app(depot, passcode="ferry gate")
        with TestClient(app, base_url="http://localhost", raise_server_exceptions=False) as client:
            yield Person(client)


@pytest.fixture(scope="session")
def prey(
    tmp_path_factory: pytest.TempPathFactory, copy_demo: Callable[[Path], Path]
) -> Iterator[Site]:
    """A demo depot for tests that fill it with nonsense."""
    place = copy_demo(tmp_path_factory.mktemp("prey") / "depot.sqlite3")
    with Depot.open(place) as depot:
        yield site_of(depot)


@pytest.fixture(scope="session")
def launch(chromium: Path) -> Iterator[Callable[..., Browser]]:
    """Starts a Chromium that calls nobody, with further switches if given."""
    with sync_playwright() as playwright:

        def start(*switches: str) -> Browser:
            quiet = ("--no-sandbox", "--disable-background-networking")
            return playwright.chromium.launch(
                executable_path=str(chromium), args=[*quiet, *switches]
            )

        yield start


@pytest.fixture(scope="session")
def browser(launch: Callable[..., Browser]) -> Iterator[Browser]:
    """The Chromium that most tests share."""
    opened = launch()
    yield opened
    opened.close()
