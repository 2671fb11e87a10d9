"""How long a reader waits while sixteen write: in one process, from sixteen, and through the pages.

Run as ``python benchmarks/writers.py [SECONDS]``, SQLite with its write-ahead log on this machine's
disk. Each writer keeps one remark after another as quickly as it may, and through the pages
readings of the running checks, whose diagnosis is computed first; the reader reads a visit (or its
page) again and again. Printed: how many were kept, and the reader's median, 95th percentile and
longest wait, alone and beside the writers.
"""

from __future__ import annotations

import multiprocessing
import re
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from wetend.pump.readings import Note
from wetend.records.store import Depot
from wetend.workflows import visits
from wetend.workflows.demo.build import build_demo
from wetend.workflows.desk import Desk

WRITERS = 16
ADDRESS = "http://127.0.0.1:8765"


def write_on(desk: Desk, visit: str, until: float) -> None:
    number = 0
    while time.monotonic() < until:
        number += 1
        visits.add_note(desk, visit, Note(text=f"remark {number}"))


def other_process(where: str, visit: str, seconds: float) -> None:
    with Depot.open(where) as depot:
        write_on(Desk(depot, who="writer"), visit, time.monotonic() + seconds)


def waits(read: Callable[[], object], seconds: float) -> list[float]:
    """Seconds each reading took, one after another for so long."""
    found, until = [], time.monotonic() + seconds
    while time.monotonic() < until or len(found) < 3:
        began = time.perf_counter()
        read()
        found.append(time.perf_counter() - began)
    return found


def told(name: str, found: list[float], kept: int) -> None:
    p95 = statistics.quantiles(found, n=20)[-1]
    print(f"{name:44}{statistics.median(found) * 1e3:8.0f}{p95 * 1e3:8.0f}"
          f"{max(found) * 1e3:9.0f}{len(found):9}{kept:7}", flush=True)  # fmt: skip


@contextmanager
def working(tasks: list[threading.Thread] | list[multiprocessing.Process]) -> Iterator[None]:
    for task in tasks:
        task.start()
    yield
    for task in tasks:
        task.join()


def by_depot(where: Path, seconds: float) -> None:
    with Depot.open(where) as depot:
        desk = Desk(depot, who="reader")
        written, seen = (v.id for v in visits.open_visits(desk)[:2])

        def read() -> None:
            desk.visit(seen)

        def count() -> int:
            return len(depot.entries(kinds=("note",)))

        told("one reader alone", waits(read, seconds / 4), 0)
        before, until = count(), time.monotonic() + seconds
        threads = [threading.Thread(target=write_on, args=(Desk(depot), written, until))
                   for _ in range(WRITERS)]  # fmt: skip
        with working(threads):
            found = waits(read, seconds)
        told(f"beside {WRITERS} writers in one process", found, count() - before)
        before = count()
        context = multiprocessing.get_context("spawn")
        others = [context.Process(target=other_process, args=(str(where), written, seconds))
                  for _ in range(WRITERS)]  # fmt: skip
        with working(others):
            found = waits(read, seconds + 4)
        told(f"beside {WRITERS} writers in processes of their own", found, count() - before)


def posting(visit: str, until: float) -> None:
    with httpx.Client(base_url=ADDRESS, trust_env=False, timeout=120.0) as client:
        page = client.get("/preferences").text
        token = re.search(r'name="_token" value="([^"]+)"', page)
        assert token
        number = 0
        while time.monotonic() < until:
            number += 1
            times = f"1.6, 1.5, 1.5, {1.3 + 0.01 * (number % 40):.2f}"
            sent = {"_token": token[1], "up_times": times, "down_times": "1.5, 1.6, 1.6"}
            kept = client.post(f"/visits/{visit}/checks", data=sent)
            if kept.status_code != 303:
                raise RuntimeError(f"readings were not kept: {kept.status_code}")


def by_pages(where: Path, seconds: float) -> None:
    with Depot.open(where) as depot:
        written, seen = (v.id for v in visits.open_visits(Desk(depot))[:2])
    server = subprocess.Popen(
        [sys.executable, "-m", "wetend", "--depot", str(where), "serve", "--port",
         ADDRESS.rpartition(":")[2]],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    try:
        with httpx.Client(base_url=ADDRESS, trust_env=False, timeout=120.0) as client:
            _until_up(client, server)

            def read() -> None:
                client.get(f"/visits/{seen}/complaint").raise_for_status()

            posting(written, time.monotonic() + 0.1)  # what the first form computes is kept
            posting(written, time.monotonic() + 3.0)
            told("one page alone", waits(read, seconds / 4), 0)
            before = _kept(where)
            until = time.monotonic() + seconds
            threads = [threading.Thread(target=posting, args=(written, until))
                       for _ in range(WRITERS)]  # fmt: skip
            with working(threads):
                found = waits(read, seconds)
            told(f"beside {WRITERS} who send forms", found, _kept(where) - before)
    finally:
        server.terminate()
        server.wait()


def _kept(where: Path) -> int:
    with Depot.open(where) as depot:
        return len(depot.entries(kinds=("check-readings",)))


def _until_up(client: httpx.Client, server: subprocess.Popen[bytes]) -> None:
    while True:
        try:
            client.get("/health")
            return
        except httpx.TransportError:
            if server.poll() is not None:
                raise RuntimeError("the server ended by itself") from None
            time.sleep(0.1)


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    print(f"{'wait, ms':44}{'median':>8}{'95 %':>8}{'longest':>9}{'reads':>9}{'kept':>7}")
    with tempfile.TemporaryDirectory() as folder:
        where = Path(folder) / "depot.sqlite3"
        with Depot.open(where) as depot:
            build_demo(depot)
        if "pages" not in sys.argv:
            by_depot(where, seconds)
        by_pages(where, seconds)


if __name__ == "__main__":
    main()
