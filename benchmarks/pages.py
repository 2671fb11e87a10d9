"""Server time and weight of every page of the demo depot, and start-up times.

Budgets: p95 50 ms a page without simulation and 300 ms with; 60 kB a page without photos;
``wetend --help`` 0.3 s; server ready in 3 s. What is worked out anew after something was kept is
timed in a visit that is open, where the pump's past counts too.
"""

from __future__ import annotations

import itertools
import os
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
from wetend.workflows.demo.build import build_demo

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


def _processor(server: int) -> float:
    """Seconds of processor that a process has taken, to a hundredth; Linux, else nought."""
    told = Path(f"/proc/{server}/stat")
    if not told.exists():
        return 0.0
    fields = told.read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def measure(base: str, server: int) -> None:
    """Print the server's time, its processor's, and the weight of each page."""
    with httpx.Client(base_url=base, trust_env=False, timeout=60.0) as client:
        pump = client.get("/pumps/north-quay").text
        visits = list(dict.fromkeys(re.findall(r"/visits/([0-9a-f]{32})", pump)))
        paths = ["/", "/pumps/north-quay", "/pumps/new", "/calculators", "/calculators/hose-loss"]
        paths += ["/pumps/north-quay/life", "/fleet", "/stores", "/practice", "/simulate"]
        paths += [f"/visits/{visits[-1]}/{stage}" for stage in STAGES]
        print(f"{'page':34}{'first':>9}{'median':>9}{'p95':>9}{'processor':>11}{'weight':>10}")
        for path in paths:
            began = time.perf_counter()
            page = client.get(path)
            first = (time.perf_counter() - began) * 1e3
            page.raise_for_status()
            times, before = [], _processor(server)
            for _ in range(ROUNDS):
                began = time.perf_counter()
                client.get(path)
                times.append((time.perf_counter() - began) * 1e3)
            worked = (_processor(server) - before) / ROUNDS * 1e3
            p95 = statistics.quantiles(times, n=20)[-1]
            name = re.sub(r"[0-9a-f]{32}", "…", path)
            print(f"{name:34}{first:7.0f}ms{statistics.median(times):7.0f}ms{p95:7.0f}ms"
                  f"{worked:9.0f}ms{_weight(client, page) / 1000:8.1f}kB")  # fmt: skip


def _strokes(number: int) -> dict[str, str]:
    """Readings that nobody gave before: strokes, a gauge, a wet cup."""
    return {
        "up_times": f"1.6, 1.5, 1.5, 1.4{number}", "down_times": f"1.6, 1.6, 1.5, 1.4{number}",
        "spray_pressure": str(250 + number), "wet_cup": "clean",
    }  # fmt: skip


def _warmer(number: int) -> dict[str, str]:
    """The same at a temperature not met before: another liquid, of which nothing is kept."""
    return {**_strokes(number), "temperature": f"{10 + 0.1 * number:.1f}"}


def _stray(number: int) -> dict[str, str]:
    """Readings that no mixture of faults explains, so that the search is the longest there is."""
    return {
        "up_times": "9.0, 9.0", "down_times": "0.3, 0.3", "spray_pressure": str(20 + number),
        "stall_pressure": "10", "creep_up": "1000",
    }  # fmt: skip


def _tin(number: int) -> dict[str, str]:
    return {"tin": f"0.5, 0.3{number}"}


def after_a_change(base: str, server: int) -> None:
    """Print the time of pages asked for right after something that they hang on was kept."""
    print(f"{'first page after a change':38}{'median':>9}{'p95':>9}{'processor':>11}")
    with httpx.Client(base_url=base, trust_env=False, timeout=60.0) as client:
        visits = re.findall(r"/visits/([0-9a-f]{32})", client.get("/pumps/north-quay").text)
        fresh = itertools.count()
        checks, rebuild = (f"/visits/{visits[0]}/{stage}" for stage in ("checks", "rebuild"))
        for what, form, sent_to, asked in (
            ("checks, readings changed", _strokes, checks, checks),
            ("checks, at another temperature", _warmer, checks, checks),
            ("checks, readings that fit nothing", _stray, checks, checks),
            ("life, readings changed", _strokes, checks, "/pumps/north-quay/life"),
            ("stores, readings changed", _strokes, checks, "/stores"),
            ("rebuild, shims changed", _tin, rebuild, rebuild),
        ):
            times, worked = [], 0.0
            for _ in range(ROUNDS):
                _keep(client, sent_to, form(next(fresh)))
                before, began = _processor(server), time.perf_counter()
                client.get(asked).raise_for_status()
                times.append((time.perf_counter() - began) * 1e3)
                worked += _processor(server) - before
            p95 = statistics.quantiles(times, n=20)[-1]
            print(f"{what:38}{statistics.median(times):7.0f}ms{p95:7.0f}ms"
                  f"{worked / ROUNDS * 1e3:9.0f}ms")  # fmt: skip


def _keep(client: httpx.Client, path: str, form: dict[str, str]) -> None:
    """Send a page's form as a browser does."""
    token = re.search(r'name="_token" value="([^"]+)"', client.get(path).text)
    assert token is not None
    kept = client.post(path, data={"_token": token[1], **form})
    if kept.status_code != 303:
        raise RuntimeError(f"{path} did not keep {form}: {kept.status_code}")


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        where = Path(folder) / "demo.sqlite3"
        began = time.perf_counter()
        with Depot.open(where) as depot:
            build_demo(depot)
        print(f"demo depot built                 {time.perf_counter() - began:6.2f} s")
        server, base = start_up(where)
        try:
            measure(base, server.pid)
            after_a_change(base, server.pid)
        finally:
            server.kill()
            server.wait()


if __name__ == "__main__":
    main()
