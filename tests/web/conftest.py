"""A demo depot behind the pages, a client that fills in forms, and a server for the browser."""

from __future__ import annotations

import asyncio
import contextlib
import faulthandler
import gc
import html
import os
import random
import re
import shutil
import socket
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import quote

import httpx2
import pytest
import uvicorn
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.web.security import Tries
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

    @property
    def path(self) -> Path:
        """The depot's file."""
        return Path(self.depot.url.database or "")


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
            r".*?<strong>\w+\.</strong> (.*?)</(?:p|span)>", box.partition("<ul>")[0], re.DOTALL
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


class Stand:
    """One place for a copy of the demo depot, and the pages over it: made once, opened anew.

    At one address, what is kept in memory of the demo's lives is computed once for all tests.
    """

    def __init__(self, folder: Path, put: Callable[[Path], Path]) -> None:
        self._place, self._put = folder / "depot.sqlite3", put
        with Depot.open(put(self._place)) as depot:
            desk, self._app = Desk(depot), create_app(depot)
            self._opened = visits.open_visits(desk)[0].id
            self._closed = next(
                v
                for line in pumps.list_pumps(desk)
                for v in pumps.view(desk, line.pump.key).history
                if v.closed
            )

    @contextlib.contextmanager
    def opened(self) -> Iterator[Site]:
        """The site as the demo begins."""
        shutil.rmtree(self._place.parent)
        with Depot.open(self._put(self._place)) as depot:
            self._app.state.depot, self._app.state.tries = depot, Tries()
            yield Site(depot, self._app, self._opened, self._closed.id, self._closed.pump)


Putting = Callable[[Path], Path]


@pytest.fixture(scope="session")
def stand(tmp_path_factory: pytest.TempPathFactory, copy_demo: Putting) -> Stand:
    """Where tests have the demo depot to themselves, one after another."""
    return Stand(tmp_path_factory.mktemp("site"), copy_demo)


@pytest.fixture
def site(stand: Stand) -> Iterator[Site]:
    """The demo depot for this test alone, to do there what it likes."""
    with stand.opened() as made:
        yield made


def _keeps_nothing(*_: object) -> None:
    raise AssertionError("Many tests look at this depot: one that keeps something takes `site`.")


@pytest.fixture(scope="session")
def shown(tmp_path_factory: pytest.TempPathFactory, copy_demo: Putting) -> Iterator[Site]:
    """The demo depot for all tests that only look; it keeps nothing."""
    with Stand(tmp_path_factory.mktemp("shown"), copy_demo).opened() as made:
        made.depot._writing = _keeps_nothing  # type: ignore[method-assign]
        yield made


@contextlib.contextmanager
def someone_at(site: Site) -> Iterator[Person]:
    """Someone with a browser of their own."""
    with TestClient(site.app, base_url="http://localhost", raise_server_exceptions=False) as client:
        client.cookies.set("wetend-who", quote(WHO))
        yield Person(client)


@pytest.fixture
def person(site: Site) -> Iterator[Person]:
    """Someone with a browser of their own at the test's own depot."""
    with someone_at(site) as someone:
        yield someone


@pytest.fixture
def reader(shown: Site) -> Iterator[Person]:
    """Someone with a browser of their own at the depot that all look at."""
    with someone_at(shown) as someone:
        yield someone


@pytest.fixture
def bare(tmp_path: Path) -> Iterator[Person]:
    """Someone at an empty depot, where any error of the server's shows as itself."""
    with (
        Depot.open(tmp_path / "bare.sqlite3") as depot,
        TestClient(create_app(depot), base_url="http://localhost") as client,
    ):
        yield Person(client)


PATIENCE = 60.0
"""Seconds a test waits for what comes at once unless the machine is busy."""


def _bound(port: int = 0) -> socket.socket:
    """A socket on this port, or on a free one, that shares it with others of ours alone."""
    made = socket.socket()
    made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
    made.bind(("127.0.0.1", port))
    return made


class Server:
    """The depot's pages on one port, stopped and started at will; the port stays its own."""

    def __init__(self, depot: Depot, passcode: str | None = None) -> None:
        self._held = _bound()  # listens to nobody: whoever calls while all is stopped is refused
        self.port: int = self._held.getsockname()[1]
        self.depot, self.passcode = depot, passcode
        self.start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        self.serve(
            create_app(self.depot, passcode=self.passcode, secret=b"the same after a restart")
        )

    def serve(self, app: FastAPI) -> None:
        config = uvicorn.Config(app, log_level="critical", timeout_graceful_shutdown=1)
        self._server, listening = uvicorn.Server(config), _bound(self.port)
        listening.listen(128)
        self._thread = threading.Thread(target=self._server.run, args=([listening],), daemon=True)
        self._thread.start()
        while not self._server.started:
            assert self._thread.is_alive(), "the server ended by itself"
            time.sleep(0.005)

    def _asked_to_stop(self, patience: float) -> bool:
        """Whether it stopped within so many seconds; what it does instead is written out."""
        self._server.should_exit = True
        self._thread.join(patience)
        if self._thread.is_alive():
            faulthandler.dump_traceback(all_threads=True)
            # by type: a weak proxy of what is gone raises where it is asked for its class
            for task in [t for t in gc.get_objects() if issubclass(type(t), asyncio.Task)]:
                if not task.done():
                    task.print_stack()
        return not self._thread.is_alive()

    def leave(self) -> None:
        """Stop it where nothing waits for it any more."""
        self._asked_to_stop(10.0)
        self._held.close()

    def stop(self) -> None:
        assert self._asked_to_stop(PATIENCE), "the server did not stop"

    def end(self) -> None:
        """Stop for good and give the port up."""
        self.stop()
        self._held.close()


class SiteServer(Server):
    """A site's own application, served."""

    def __init__(self, site: Site) -> None:
        self.app = site.app
        super().__init__(site.depot)

    def start(self) -> None:
        self.serve(self.app)


@pytest.fixture
def address(site: Site) -> Iterator[str]:
    """The test's own depot, served."""
    server = SiteServer(site)
    yield server.address
    server.end()


@pytest.fixture(scope="session")
def shown_address(shown: Site) -> Iterator[str]:
    """The depot that all look at, served."""
    server = SiteServer(shown)
    yield server.address
    server.leave()  # the process ends: no other test needs its port or its depot


@pytest.fixture
def serving() -> Iterator[Callable[..., Server]]:
    """Starts servers of a depot's pages that can be stopped in the middle."""
    made: list[Server] = []

    def start(depot: Depot, passcode: str | None = None) -> Server:
        made.append(Server(depot, passcode))
        return made[-1]

    yield start
    for server in made:
        server.end()


@pytest.fixture
def guarded(tmp_path: Path) -> Iterator[Person]:
    """Someone at an empty depot guarded by the passcode ``ferry gate``."""
    with Depot.open(tmp_path / "guarded.sqlite3") as depot:
        app = create_app(depot, passcode="ferry gate")
        with TestClient(app, base_url="http://localhost", raise_server_exceptions=False) as client:
            yield Person(client)


def _patient(browser: Browser) -> Browser:
    """Its pages wait longer than half a minute for what a busy machine brings late, and scroll at
    once."""
    context_of, page_of = browser.new_context, browser.new_page

    def new_context(**options: Any) -> BrowserContext:
        made = context_of(**{"reduced_motion": "reduce"} | options)
        made.set_default_timeout(PATIENCE * 1e3)
        return made

    def new_page(**options: Any) -> Page:
        made = page_of(**options)
        made.set_default_timeout(PATIENCE * 1e3)
        return made

    browser.new_context, browser.new_page = new_context, new_page  # type: ignore[method-assign]
    return browser


@pytest.fixture(scope="session")
def launch(chromium: Path) -> Iterator[Callable[..., Browser]]:
    """Starts a Chromium that calls nobody, with further switches or a home of its own."""
    expect.set_options(timeout=PATIENCE * 1e3)
    with sync_playwright() as playwright:

        def start(*switches: str, home: Path | None = None) -> Browser:
            quiet = ("--no-sandbox", "--disable-background-networking")
            own = {**os.environ, "HOME": str(home)} if home else None
            return _patient(
                playwright.chromium.launch(
                    executable_path=str(chromium), args=[*quiet, *switches], env=own
                )
            )

        yield start


@pytest.fixture(scope="session")
def browser(launch: Callable[..., Browser]) -> Iterator[Browser]:
    """The Chromium that most tests share."""
    opened = launch()
    yield opened
    opened.close()


_TAP = """(pad, at) => {
  const tap = new PointerEvent('pointerdown', {button: 0, isPrimary: true, bubbles: true});
  Object.defineProperty(tap, 'timeStamp', {value: at});
  pad.dispatchEvent(tap);
}"""


@pytest.fixture(scope="session")
def tap_strokes() -> Callable[..., None]:
    """Taps the pad at the turns between strokes of so many seconds, by the clock of the taps: a
    busy machine makes none of them longer."""

    def tap(page: Page, *strokes: float) -> None:
        pad, at = page.locator("#tap-pad"), 1000.0
        for stroke in (*strokes, 0.0):
            pad.evaluate(_TAP, at)
            at += 1000.0 * stroke

    return tap
