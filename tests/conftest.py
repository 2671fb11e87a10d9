"""What tests share: a depot on each database, the demo pumps, and the rule about skipping.

A test whose database or browser is missing is skipped and says why; with ``CI=true`` every skip is
a failure, so that nothing goes untested unseen.
"""

from __future__ import annotations

import fcntl
import importlib
import os
import secrets
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psycopg
import pytest
from hypothesis import HealthCheck, settings
from hypothesis.internal.conjecture import providers
from hypothesis.internal.constants_ast import Constants
from pseudo import PSEUDO, Pseudo
from psycopg import sql
from sqlalchemy import make_url

from wetend.pump.description import Pump
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.records.store import Depot
from wetend.telling import languages
from wetend.telling.languages import ENGLISH
from wetend.workflows.demo.build import build_demo

_NO_SKIPS = os.environ.get("CI", "").lower() in {"true", "1"}
# The same examples at every run, so that a red run means a change; `make explore` draws anew.
# Deadlines and slow drawing depend on how busy the machine is, so neither fails a test.
_STEADY: dict[str, Any] = {
    "deadline": None,
    "database": None,
    "print_blob": True,
    "suppress_health_check": [HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
}
settings.register_profile("fixed", derandomize=True, max_examples=40, **_STEADY)
settings.register_profile("explore", derandomize=False, max_examples=400, **_STEADY)
settings.load_profile("fixed")
_constants_read_in, _NO_CONSTANTS = providers._get_local_constants, Constants()


def _constants() -> Constants:
    """Hypothesis mixes in the numbers and words of all modules read in by then, so that what it
    draws would hang on the tests that ran before: only `make explore` wants that.
    """
    fixed = settings.get_current_profile_name() == "fixed"
    return _NO_CONSTANTS if fixed else _constants_read_in()


providers._get_local_constants = _constants
_BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")


_LONGEST = (
    "web/test_browser", "web/test_hostile", "web/test_offline", "web/test_story",
    "web/test_gate_offline", "advice/diagnosis/test_diagnose", "web/test_depot_damage",
    "records/test_survival", "web/test_reopening", "web/test_recording", "web/test_simulate",
    "reports/visit/", "cli/test_start_up", "cli/test_files", "cli/test_json",
    "workflows/test_", "web/", "advice/", "reports/", "records/",
)  # fmt: skip
"""Files that take longest, longest first."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The longest files first: each stays on one worker, and none is left alone at the end."""

    def turn(item: pytest.Item) -> int:
        place = item.path.as_posix().rpartition("/tests/")[2]
        return next((n for n, f in enumerate(_LONGEST) if place.startswith(f)), len(_LONGEST))

    items.sort(key=turn)


def _refuse_skip(report: pytest.TestReport | pytest.CollectReport) -> None:
    if _NO_SKIPS and report.skipped and not hasattr(report, "wasxfail"):
        why = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"With CI=true nothing may be skipped. {why}"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Iterator[None]:
    """A skipped test fails where ``CI=true``."""
    report = yield
    _refuse_skip(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Iterator[None]:
    """A skipped module fails where ``CI=true``."""
    report = yield
    _refuse_skip(report)
    return report


@pytest.fixture(scope="session")
def chromium() -> Path:
    """The browser: ``WETEND_TEST_CHROMIUM``, or the first Chromium on the path."""
    named = os.environ.get("WETEND_TEST_CHROMIUM") or next(
        filter(None, map(shutil.which, _BROWSERS)), ""
    )
    if not named or not Path(named).is_file():
        pytest.skip("No Chromium found: install it or name it in WETEND_TEST_CHROMIUM.")
    return Path(named)


def _postgresql_programs() -> Path | None:
    """Folder of the newest PostgreSQL server's programs on this machine."""
    on_path = shutil.which("initdb")
    found = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: float(p.parts[-3])
    )
    return Path(on_path).parent if on_path else found[-1].parent if found else None


def _temporary_cluster(programs: Path, folder: Path) -> Iterator[str]:
    """A PostgreSQL server of our own, on a socket only; its server refuses to run as root."""
    account = (
        {"user": "postgres", "group": "postgres", "extra_groups": ()} if os.geteuid() == 0 else {}
    )
    data = folder / "data"
    if account:
        shutil.chown(folder, "postgres", "postgres")
    subprocess.run(
        [programs / "initdb", "-D", data, "-U", "wetend", "-A", "trust", "-E", "UTF8",
         "--no-locale", "-N"],
        check=True, capture_output=True, cwd=folder, **account,
    )  # fmt: skip
    with (folder / "log").open("wb") as log, subprocess.Popen(
        [programs / "postgres", "-D", data, "-k", folder, "-c", "listen_addresses=", "-F"],
        stdout=log, stderr=log, cwd=folder, **account,
    ) as server:  # fmt: skip
        try:
            url = f"postgresql://wetend@/postgres?host={folder}"
            _wait_for(url, server, folder / "log")
            yield url
        finally:
            server.send_signal(signal.SIGINT)  # stop at once, whoever is connected


def _wait_for(url: str, server: subprocess.Popen[bytes], log: Path) -> None:
    give_up = time.monotonic() + 60
    while server.poll() is None and time.monotonic() < give_up:
        try:
            psycopg.connect(url).close()
            return
        except psycopg.OperationalError:
            time.sleep(0.05)
    pytest.fail(f"The temporary PostgreSQL server did not start:\n{log.read_text('utf-8')}")


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """A PostgreSQL server: ``WETEND_TEST_POSTGRESQL``, or a temporary one started here."""
    named = os.environ.get("WETEND_TEST_POSTGRESQL")
    programs = _postgresql_programs()
    if named:
        yield named.replace("postgresql+psycopg://", "postgresql://")
    elif programs:
        with tempfile.TemporaryDirectory(prefix="wetend-pg-", ignore_cleanup_errors=True) as folder:
            yield from _temporary_cluster(programs, Path(folder))
    else:
        pytest.skip("No PostgreSQL: install its server or name one in WETEND_TEST_POSTGRESQL.")


@pytest.fixture
def postgresql_url(postgresql_server: str) -> Iterator[str]:
    """An empty PostgreSQL database of the test's own."""
    name = f"wetend_test_{secrets.token_hex(6)}"
    with psycopg.connect(postgresql_server, autocommit=True) as server:
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        yield make_url(postgresql_server).set(database=name).render_as_string(hide_password=False)
        server.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.postgresql)])
def depot_place(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> str:
    """Where a new depot may be opened, on each kind of database in turn."""
    if request.param == "sqlite":
        return str(tmp_path / "depot.sqlite3")
    monkeypatch.setenv("WETEND_PHOTOS", str(tmp_path / "photos"))
    return str(request.getfixturevalue("postgresql_url"))


@pytest.fixture
def depot(depot_place: str) -> Iterator[Depot]:
    """A new depot, on each kind of database in turn."""
    with Depot.open(depot_place) as opened:
        yield opened


@pytest.fixture(scope="session")
def copy_demo(tmp_path_factory: pytest.TempPathFactory) -> Callable[[Path], Path]:
    """Puts a copy of the demo depot in a place; it is built once, for all workers."""
    shared = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        shared = shared.parent
    whole, half = shared / "demo.sqlite3", shared / "half-built-demo.sqlite3"
    with (shared / "demo.lock").open("w") as turn:
        fcntl.flock(turn, fcntl.LOCK_EX)
        if not whole.exists():
            with Depot.open(half) as depot:
                build_demo(depot)
            half.rename(whole)

    def put(place: Path) -> Path:
        place.parent.mkdir(exist_ok=True)
        shutil.copyfile(whole, place)
        return place

    return put


@pytest.fixture
def midday(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """About noon on this machine's clock, so that what happened a minute ago happened today."""
    with monkeypatch.context() as changed:
        changed.setenv("TZ", f"TEST{datetime.now(UTC).hour - 12:+d}")  # POSIX counts westwards
        time.tzset()
        yield
    time.tzset()


@pytest.fixture(scope="session")
def demo_pumps() -> tuple[Pump, ...]:
    """The two demo pumps."""
    return tuple(demo_pump(key) for key in DEMO_PUMPS)


@pytest.fixture(scope="session")
def coolprop() -> Callable[..., float]:
    """CoolProp's ``PropsSI``; the library takes three seconds to read in, so only on demand."""
    properties: Callable[..., float] = importlib.import_module("CoolProp.CoolProp").PropsSI
    return properties


@pytest.fixture
def pseudo(monkeypatch: pytest.MonkeyPatch) -> Pseudo:
    """The pseudo-language beside English."""
    made = Pseudo()
    known = {ENGLISH: languages.catalogue(ENGLISH), PSEUDO: made}
    monkeypatch.setattr(languages, "_catalogues", lambda: known)
    return made
