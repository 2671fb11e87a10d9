"""A demo depot behind the pages, a client that fills in forms, and a server for the browser."""

from __future__ import annotations

import contextlib
import html
import random
import re
import secrets
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
from axe_playwright_python.sync_playwright import Axe
from fastapi import FastAPI
from fastapi.testclient import TestClient
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

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


@pytest.fixture(scope="module")
def own_site(
    tmp_path_factory: pytest.TempPathFactory, copy_demo: Callable[[Path], Path]
) -> Iterator[Site]:
    """A demo depot of a module's own, for tests that hang on what stands in it."""
    place = copy_demo(tmp_path_factory.mktemp("own") / "depot.sqlite3")
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


PATIENCE = 120.0
"""Seconds a test waits for what comes at once unless the machine is busy."""


def _unused_port() -> int:
    """A port below those that the system gives to connections, so that none takes it meanwhile."""
    while True:
        port = 20_000 + secrets.randbelow(12_000)
        with socket.socket() as probe, contextlib.suppress(OSError):
            probe.bind(("127.0.0.1", port))
            return port


class Server:
    """The depot's pages on one port, stopped and started at will."""

    def __init__(self, depot: Depot, passcode: str | None = None) -> None:
        self.port = _unused_port()
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
        config = uvicorn.Config(
            app, port=self.port, log_level="critical", timeout_graceful_shutdown=1
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        give_up = time.monotonic() + PATIENCE
        while not self._server.started:
            assert self._thread.is_alive(), "the server ended by itself"
            assert time.monotonic() < give_up, "the server did not start"
            time.sleep(0.02)

    def stop(self) -> None:
        self._server.should_exit = True
        self._thread.join(PATIENCE)
        assert not self._thread.is_alive(), "the server did not stop"


class SiteServer(Server):
    """A site's own application, served."""

    def __init__(self, site: Site) -> None:
        self.app = site.app
        super().__init__(site.depot)

    def start(self) -> None:
        self.serve(self.app)


@pytest.fixture(scope="session")
def address(site: Site) -> Iterator[str]:
    """The demo depot served on a port of its own."""
    server = SiteServer(site)
    yield server.address
    server.stop()


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
    """Starts a Chromium that calls nobody, with further switches if given."""
    expect.set_options(timeout=PATIENCE * 1e3)
    with sync_playwright() as playwright:

        def start(*switches: str) -> Browser:
            quiet = ("--no-sandbox", "--disable-background-networking")
            return _patient(
                playwright.chromium.launch(executable_path=str(chromium), args=[*quiet, *switches])
            )

        yield start


@pytest.fixture(scope="session")
def browser(launch: Callable[..., Browser]) -> Iterator[Browser]:
    """The Chromium that most tests share."""
    opened = launch()
    yield opened
    opened.close()


_STYLE_RULES = (
    "color-contrast", "link-in-text-block", "scrollable-region-focusable", "target-size",
)  # fmt: skip
"""Rules of axe-core that sun mode may break, whose colours and weights differ and nothing else."""
Faults = list[tuple[str, str, str]]


def _faults(page: Page, rules: Sequence[str] = (), *, within: str) -> Faults:
    only = {"runOnly": list(rules)} if rules else {}
    told = Axe().run(page, [[within]], {"resultTypes": ["violations"], **only}).response
    outcomes = ("passes", "violations", "incomplete", "inapplicable")
    assert "color-contrast" in {rule["id"] for name in outcomes for rule in told[name]}
    assert rules or len(told["passes"]) > 10
    return [
        (fault["id"], str([node["target"] for node in fault["nodes"]][:3]),
         fault["nodes"][0]["failureSummary"])
        for fault in told["violations"] if fault["impact"] in ("serious", "critical")
    ]  # fmt: skip


@pytest.fixture(scope="session")
def faults() -> Callable[[Page], Faults]:
    """Serious faults of a page by axe-core's own rules: the rule, where, what to mend."""
    return lambda page: _faults(page, within="html")


@pytest.fixture(scope="session")
def faults_in_sun() -> Callable[..., Faults]:
    """Those of the page, or some of it, put into sun mode as the server would send it: with one
    class more."""

    def look(page: Page, *, within: str = "html") -> Faults:
        page.evaluate("document.documentElement.classList.add('sun')")
        return _faults(page, _STYLE_RULES, within=within)

    return look


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
