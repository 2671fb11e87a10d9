"""Server time and weight of every page of the demo depot, and start-up times.

Budgets: p95 50 ms a page without simulation and 300 ms with; 60 kB a page without photos;
``wetend --help`` 0.3 s; server ready in 3 s.
"""

from __future__ import annotations

import re
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import httpx

from wetend.records.store import Depot
from wetend.workflows.demo import build_demo

ROUNDS = 15
STAGES = ("complaint", "checks", "strip", "inspect", "rebuild", "prove", "handover")


def _port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _weight(client: httpx.Client, page: httpx.Response) -> int:
    """Bytes over the wire of a page with what it links, compressed as sent."""
    linked = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', page.text))
    total = page.num_bytes_downloaded
    for path in linked:
        total += client.get(path).num_bytes_downloaded
    return total


def start_up(depot: Path) -> tuple[subprocess.Popen[bytes], str]:
    """Time the help and the server's start; give the server and its address."""
    began = time.perf_counter()
    subprocess.run([sys.executable, "-m", "wetend", "--help"], check=True, capture_output=True)
    print(f"wetend --help                    {time.perf_counter() - began:6.2f} s   budget 0.3 s")
    port = _port()
    began = time.perf_counter()
    server = subprocess.Popen(
        [sys.executable, "-m", "wetend", "--depot", str(depot), "serve", "--port", str(port)],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    base = f"http://127.0.0.1:{port}"
    while True:
        try:
            httpx.get(f"{base}/health", timeout=1.0, trust_env=False)
            break
        except httpx.TransportError:
            if server.poll() is not None:
                raise RuntimeError("the server ended by itself") from None
            time.sleep(0.01)
    print(f"server answers                   {time.perf_counter() - began:6.2f} s   budget 3 s")
    return server, base


def measure(base: str) -> None:
    """Print the server's time and the weight of each page."""
    with httpx.Client(base_url=base, trust_env=False, timeout=60.0) as client:
        pump = client.get("/pumps/north-quay").text
        visits = list(dict.fromkeys(re.findall(r"/visits/([0-9a-f]{32})", pump)))
        paths = ["/", "/pumps/north-quay", "/pumps/new", "/calculators", "/calculators/hose-loss"]
        paths += ["/pumps/north-quay/life", "/fleet", "/stores", "/practice", "/simulate"]
        paths += [f"/visits/{visits[-1]}/{stage}" for stage in STAGES]
        print(f"{'page':34}{'first':>9}{'median':>9}{'p95':>9}{'weight':>10}")
        for path in paths:
            began = time.perf_counter()
            page = client.get(path)
            first = (time.perf_counter() - began) * 1e3
            page.raise_for_status()
            times = []
            for _ in range(ROUNDS):
                began = time.perf_counter()
                client.get(path)
                times.append((time.perf_counter() - began) * 1e3)
            p95 = statistics.quantiles(times, n=20)[-1]
            name = re.sub(r"[0-9a-f]{32}", "…", path)
            print(f"{name:34}{first:7.0f}ms{statistics.median(times):7.0f}ms{p95:7.0f}ms"
                  f"{_weight(client, page) / 1000:8.1f}kB")  # fmt: skip


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        where = Path(folder) / "demo.sqlite3"
        began = time.perf_counter()
        with Depot.open(where) as depot:
            build_demo(depot)
        print(f"demo depot built                 {time.perf_counter() - began:6.2f} s")
        server, base = start_up(where)
        try:
            measure(base)
        finally:
            server.kill()
            server.wait()


if __name__ == "__main__":
    main()
