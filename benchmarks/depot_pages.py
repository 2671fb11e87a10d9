"""Pages of a depot with thousands of pumps and their lives: time, weight and memory of each.

Run as ``python benchmarks/depot_pages.py [PUMPS] [--keep FILE]``. The depot is invented
(``fleet.py``: five years of quarterly use, every part fitted), its making not timed. Each page is
asked for the first time after a start and again; then a use is kept, and it is asked for once more.
"""

from __future__ import annotations

import argparse
import resource
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

from fastapi.testclient import TestClient
from fleet import record

from wetend.pump.usage import Usage
from wetend.records.store import Depot
from wetend.web.app import create_app
from wetend.workflows import life
from wetend.workflows.desk import Desk

PAGES = (
    "/pumps/pump-00007/life", "/stores", "/", "/?find=site+3", "/pumps/pump-00007", "/fleet",
)  # fmt: skip


def _memory() -> float:
    """Most memory held so far, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def _asked(client: TestClient, path: str) -> tuple[float, float, int]:
    """Seconds by the clock and of processor, and bytes, of a page."""
    began, worked = time.perf_counter(), time.process_time()
    page = client.get(path)
    page.raise_for_status()
    return time.perf_counter() - began, time.process_time() - worked, len(page.content)


def measure(depot: Depot) -> None:
    """Ask for every page three times and print how long each took."""
    with TestClient(create_app(depot), base_url="http://localhost") as client:
        print(f"{'page':28}{'first':>9}{'proc.':>8}{'again':>8}{'proc.':>8}{'after an entry':>16}"
              f"{'proc.':>8}{'kB':>7}{'MB':>7}")  # fmt: skip
        for path in PAGES:
            first, again = _asked(client, path), _asked(client, path)
            day = datetime.now(UTC).date()
            use = Usage(first=day, last=day, pumped=0.2, coating="alkyd-topcoat")
            life.save_usage(Desk(depot), "pump-00009", use)
            after = _asked(client, path)
            print(f"{path:28}{first[0]:8.2f}s{first[1]:7.2f}s{again[0]:7.2f}s{again[1]:7.2f}s"
                  f"{after[0]:15.2f}s{after[1]:7.2f}s{again[2] / 1000:7.0f}"
                  f"{_memory():7.0f}", flush=True)  # fmt: skip


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("pumps", type=int, nargs="?", default=1000)
    asked.add_argument("--keep", type=Path)
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        where = given.keep or Path(folder) / "depot.sqlite3"
        with Depot.open(where) as depot:
            if not depot.state(kinds=("pump-described",))[0]:
                count = depot.merge(record(given.pumps, datetime.now(UTC).date()))
                print(f"{given.pumps} pumps, {count} entries made; {_memory():.0f} MB")
        with Depot.open(where) as depot:
            measure(depot)


if __name__ == "__main__":
    main()
