"""How long commands take as a whole, each in a new process, and the server's first page.

By the clock and by the processor; the least of several runs, on the demo depot. Budgets: ``calc``
and ``visit list`` 0.6 s; ``checks``, ``rebuild`` and ``life`` 1.5 s; ``find-fault`` and the
server's first page 2 s, on an idle machine of two cores with nothing in memory.
"""

from __future__ import annotations

import contextlib
import os
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import httpx

from wetend.records.store import Depot
from wetend.workflows.demo.build import build_demo
from wetend.workflows.desk import Desk
from wetend.workflows.pumps import described

RUNS = 5
AS_INSTALLED = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
"""Without the setting that has Python compile every source anew at each start."""
READINGS = """\
up_times = ["1.42 s", "1.45 s", "1.40 s", "1.44 s"]
down_times = ["0.98 s", "1.02 s", "0.99 s", "0.97 s"]
spray_pressure = "225 bar"
creep_down = "900 mm/min"
"""


def timed(words: list[str]) -> tuple[float, float]:
    """Seconds by the clock and of the processor that a command takes, the least of several runs."""
    found = []
    for _ in range(RUNS):
        before, began = os.times(), time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-m", "wetend", *words], capture_output=True, env=AS_INSTALLED
        )
        clock, after = time.perf_counter() - began, os.times()
        if done.returncode:
            raise RuntimeError(done.stderr.decode())
        used = (after.children_user + after.children_system
                - before.children_user - before.children_system)  # fmt: skip
        found.append((clock, used))
    return min(clock for clock, _ in found), min(used for _, used in found)


def first_page(depot: str) -> float:
    """Seconds until a server just started has sent its first page."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = str(probe.getsockname()[1])
    began = time.perf_counter()
    server = subprocess.Popen(
        [sys.executable, "-m", "wetend", "--depot", depot, "serve", "--port", port],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=AS_INSTALLED,
    )  # fmt: skip
    try:
        while server.poll() is None:
            with contextlib.suppress(httpx.TransportError):
                httpx.get(f"http://127.0.0.1:{port}/", timeout=30.0, trust_env=False)
                return time.perf_counter() - began
            time.sleep(0.01)
        raise RuntimeError("the server ended by itself")
    finally:
        server.terminate()
        server.wait()


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory(prefix="wetend-startup-") as folder:
        depot, readings = Path(folder) / "demo.sqlite3", Path(folder) / "readings.toml"
        readings.write_text(READINGS, encoding="utf-8")
        with Depot.open(depot) as made:
            build_demo(made)
            pump = described(Desk(made, who="benchmark"))[0].key
        rows = {
            "--help": "0.3", "calc cup-viscosity cup=ford-4 time=64s": "0.6", "visit list": "0.6",
            "checks last": "1.5", "rebuild last": "1.5", f"life show {pump}": "1.5",
            f"find-fault --pump quay-air --coating epoxy-tank --readings {readings}": "2",
        }  # fmt: skip
        print("| command | by the clock | processor | budget |\n|---|---|---|---|")
        for words, budget in rows.items():
            clock, used = timed(["--depot", str(depot), *words.split()])
            told = words.replace(str(readings), "readings.toml")
            print(f"| `wetend {told}` | {clock:.2f} s | {used:.2f} s | {budget} s |")
        pages = min(first_page(str(depot)) for _ in range(RUNS))
        print(f"| the server's first page | {pages:.2f} s | | 2 s |")


if __name__ == "__main__":
    main()
