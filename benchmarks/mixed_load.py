"""Mixed load on one server for minutes on end: does its memory stay flat?

    python benchmarks/mixed_load.py [--minutes 10] [--clients 8] [--seed 1] [--to docs]

So many clients at once ask a server of its own, on a copy of the demo depot, for every page in any
order, send forms, send malformed requests (``malformed.py``), and now and then run a command on the
same depot, one at a time. The server's resident memory is read every few seconds, with the bytes
that it holds of computed answers. Once each page has been asked for, the memory should stay where
it is: as it should be, the median of the last fifth lies less than 3 % above that of the middle
fifth, no answer is a 5xx, and the depot is whole. Ends with 1 where anything is otherwise. With
``--to``, the readings are written there as a table and drawn as a curve (Matplotlib).
"""

from __future__ import annotations

import argparse
import csv
import http.client
import itertools
import json
import os
import random
import re
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import matplotlib as mpl
from malformed import (
    HOST,
    Aim,
    aim_at,
    answered,
    await_answer,
    free_port,
    request,
    resident,
    serve,
)
from matplotlib.figure import Figure
from starlette.routing import Route

from wetend.advice.calculators.catalogue import FAMILIES
from wetend.records.health_check import examine
from wetend.records.store import Depot
from wetend.web.app import ROUTERS
from wetend.workflows import pumps, visits
from wetend.workflows.demo.build import build_demo
from wetend.workflows.desk import Desk

EVERY = 5.0
"""Seconds between readings of memory."""
FLAT = 1.03
KEPT = 200
"""Forms that add to the record: a record that grows on takes more memory, and rightly."""
COMMANDS = (
    "pump list", "pump show {pump}", "pump record {pump}", "visit list", "visit show {visit}",
    "visit record {visit}", "site {visit}", "complaint {visit}", "make-safe {visit}",
    "checks {visit}", "strip {visit}", "inspect {visit}", "rebuild {visit}", "fitted {visit}",
    "prove {visit}", "handover {visit}", "care {visit}", "life show {pump}", "stores list",
    "stores order", "stores items", "fleet month", "fleet months --months 3 --replicas 4",
    "injection", "incident", "calc --list", "simulate --pump quay-air --coating epoxy-tank",
    "practice", "imports", "doctor", "memory", "depot where", "visit note {visit} mixed-load",
)  # fmt: skip


@dataclass
class Seen:
    """What came back, counted, and the server's memory over time."""

    counted: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    curve: list[tuple[float, int, float]] = field(default_factory=list)
    """Seconds, resident memory in MB, computed answers held in MB."""
    lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, what: str, wrong: str = "") -> None:
        """Count one."""
        with self.lock:
            self.counted[what] += 1
            if wrong:
                self.wrong.append(wrong)


@dataclass(frozen=True)
class Place:
    """What there is to ask for."""

    port: int
    depot: Path
    visits: Sequence[str]
    pumps: Sequence[str]
    aim: Aim
    paths: Sequence[str]


def paths_of(visits_: Sequence[str], pumps_: Sequence[str]) -> list[str]:
    """The address of every page that is read, with good names in it."""
    named = {
        "visit_id": list(visits_), "key": list(pumps_), "part": ["rod", "foot-ball", "foot-seat"],
        "name": [name for names in FAMILIES.values() for name in names],
    }  # fmt: skip
    found = []
    for route in (r for router in ROUTERS for r in router.routes if isinstance(r, Route)):
        if "GET" not in (route.methods or ()):
            continue
        holes = re.findall(r"{(\w+)[^}]*}", route.path)
        if all(hole in named for hole in holes):
            for values in itertools.product(*(named[hole] for hole in holes)):
                filled = iter(values)
                found.append(re.sub(r"{\w+[^}]*}", lambda _, f=filled: str(next(f)), route.path))
    found += [f"/fleet/months?months={n}" for n in range(1, 13)]
    found += ["/practice/new", "/practice/new?pump=quay-air"]
    return sorted(set(found) - {"/export.zip"})


class Client(threading.Thread):
    """Someone at a browser, good or ill, until it is time to stop."""

    def __init__(self, number: int, place: Place, seen: Seen, until: float, seed: int) -> None:
        super().__init__(daemon=True)
        self.rng = random.Random(f"{seed} {number}")
        self.place, self.seen, self.until = place, seen, until
        self.cookie, self.token = place.aim.cookie, place.aim.token
        self.order: list[str] = []

    def run(self) -> None:
        """Ask until the time is over."""
        while time.monotonic() < self.until:
            drawn = self.rng.random()
            try:
                if drawn < 0.72:
                    self.read()
                elif drawn < 0.78:
                    self.keep()
                else:
                    self.attack()
            except OSError as error:
                self.seen.add("no answer", "" if drawn >= 0.78 else f"{type(error).__name__}")

    def read(self) -> None:
        """Ask for a page, each once before any again."""
        if not self.order:
            self.order = self.rng.sample(list(self.place.paths), len(self.place.paths))
        path = self.order.pop()
        status = self.ask("GET", path)
        self.seen.add("pages", f"GET {path}: {status}" if status >= 500 else "")

    def keep(self) -> None:
        """Send readings of the running checks, or a remark; once there are many, preferences."""
        visit = self.rng.choice(list(self.place.visits[:2]))
        up = f"1.{self.rng.randrange(20, 60)}"
        if self.seen.counted["forms"] >= KEPT:
            path, fields = "/preferences", {"units": "metric"}
        elif self.rng.random() < 0.5:
            path = f"/visits/{visit}/checks"
            fields = {"up_times": f"{up}, {up}", "down_times": f"1.2, {up}"}
        else:
            path, fields = f"/visits/{visit}/notes", {"text": f"remark {up}", "stage": "checks"}
        status = self.ask("POST", path, {"_token": self.token, **fields})
        self.seen.add("forms", f"POST {path}: {status}" if status >= 500 else "")

    def attack(self) -> None:
        """Send what nobody should."""
        sent, whole = request(self.place.aim, self.rng)
        status, _ = answered(self.place.port, sent, whole=whole)
        self.seen.add("malformed", f"{sent[:200]!r}: {status}" if status >= 500 else "")

    def ask(self, method: str, path: str, fields: dict[str, str] | None = None) -> int:
        """The status of an answer, read to its end."""
        connection = http.client.HTTPConnection(HOST, self.place.port, timeout=120)
        try:
            head = {"Cookie": self.cookie}
            if fields is not None:
                head["Content-Type"] = "application/x-www-form-urlencoded"
            body = urlencode(fields).encode() if fields is not None else None
            connection.request(method, path, body, head)
            answer = connection.getresponse()
            answer.read()
            return answer.status
        finally:
            connection.close()


def run_commands(place: Place, seen: Seen, until: float, seed: int) -> None:
    """Every command in turn, one at a time, each in a process of its own."""
    rng = random.Random(f"{seed} commands")
    for words in itertools.cycle(COMMANDS):
        if time.monotonic() >= until:
            return
        filled = words.format(pump=rng.choice(list(place.pumps)), visit=place.visits[0])
        done = subprocess.run(
            [sys.executable, "-m", "wetend", "--depot", str(place.depot), *filled.split()],
            capture_output=True, text=True, timeout=300, check=False,
            env={**os.environ, "WETEND_WHO": "mixed load"},
        )  # fmt: skip
        bad = done.returncode not in (0, 1, 2) or "Traceback" in done.stderr
        seen.add("commands", f"{filled}: {done.returncode} {done.stderr[-300:]}" if bad else "")
        time.sleep(1.0)


def watch(server: int, port: int, seen: Seen, until: float) -> None:
    """Read the server's memory now and then; a line each half minute."""
    began = time.monotonic()
    while (now := time.monotonic()) < until:
        held = float("nan")
        with suppress(OSError, ValueError):
            connection = http.client.HTTPConnection(HOST, port, timeout=60)
            connection.request("GET", "/memory.json")
            held = json.loads(connection.getresponse().read())["bytes"] / 1e6
            connection.close()
        seen.curve.append((now - began, resident(server), held))
        if len(seen.curve) % 6 == 0:
            told = ", ".join(f"{what} {many}" for what, many in sorted(seen.counted.items()))
            print(f"{now - began:5.0f} s  {seen.curve[-1][1]:5d} MB  held {held:5.1f} MB  {told}",
                  flush=True)  # fmt: skip
        time.sleep(EVERY)


def judge(seen: Seen) -> bool:
    """Say whether the memory stayed flat."""
    fifth = max(len(seen.curve) // 5, 1)
    middle = statistics.median(mb for _, mb, _ in seen.curve[2 * fifth : 3 * fifth])
    last = statistics.median(mb for _, mb, _ in seen.curve[-fifth:])
    print(f"resident memory: median of the middle fifth {middle:.0f} MB, of the last {last:.0f} MB "
          f"({100 * (last / middle - 1):+.1f} %)")  # fmt: skip
    tenth = max(len(seen.curve) // 10, 1)
    print("at each tenth, MB: " + ", ".join(str(mb) for _, mb, _ in seen.curve[tenth - 1 :: tenth]))
    return last < FLAT * middle


def write(seen: Seen, folder: Path) -> None:
    """The readings as a table, and drawn."""
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "mixed-load.csv").open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(["seconds", "resident MB", "computed answers held MB"])
        rows.writerows([f"{at:.0f}", mb, f"{held:.1f}"] for at, mb, held in seen.curve)
    mpl.rcParams["svg.hashsalt"] = "mixed-load"
    figure = Figure(figsize=(7.2, 3.2), layout="constrained")
    axes = figure.subplots()
    minutes = [at / 60 for at, _, _ in seen.curve]
    axes.plot(minutes, [mb for _, mb, _ in seen.curve], color="#1b4965", label="whole server")
    axes.plot(minutes, [held for _, _, held in seen.curve], color="#c1666b", linestyle="--",
              label="computed answers held")  # fmt: skip
    axes.set(xlabel="minutes", ylabel="memory, MB", ylim=(0, None))
    axes.legend(loc="center right")
    axes.grid(alpha=0.3)
    figure.savefig(folder / "mixed-load.svg", metadata={"Date": None})


def main() -> None:
    """Build the depot, start the server, load it, judge."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--minutes", type=float, default=10.0)
    asked.add_argument("--clients", type=int, default=8)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--to", type=Path)
    asked.add_argument("--serve", type=int, default=0, help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.serve:
        serve(given.serve)
        return
    with tempfile.TemporaryDirectory(prefix="wetend-mixed-") as folder:
        depot, port = Path(folder) / "depot.sqlite3", free_port()
        with Depot.open(depot) as opened:
            build_demo(opened)
            desk = Desk(opened)
            open_ones = visits.open_visits(desk)
            keys = [line.pump.key for line in pumps.list_pumps(desk)]
            closed = [v.id for v in pumps.view(desk, keys[0]).history if v.closed][:2]
            entries = set(opened.each_entry())
        with subprocess.Popen(
            [sys.executable, __file__, "--serve", str(port)],
            env={**os.environ, "WETEND_DEPOT": str(depot)},
        ) as server:
            await_answer(port)
            aim = aim_at(port, open_ones[0].id, open_ones[0].pump)
            ids = [v.id for v in open_ones] + closed
            place = Place(port, depot, ids, keys, aim, paths_of(ids, keys))
            seen, until = Seen(), time.monotonic() + 60 * given.minutes
            clients = [Client(n, place, seen, until, given.seed) for n in range(given.clients)]
            commands = threading.Thread(
                target=run_commands, args=(place, seen, until, given.seed), daemon=True
            )
            for thread in (*clients, commands):
                thread.start()
            watch(server.pid, port, seen, until)
            for thread in (*clients, commands):
                thread.join(300)
            alive = server.poll() is None
            server.send_signal(signal.SIGTERM)
        print(f"{given.minutes:g} minutes, {given.clients} clients, seed {given.seed}, "
              f"{len(place.paths)} addresses")  # fmt: skip
        print(", ".join(f"{many} {what}" for what, many in sorted(seen.counted.items())))
        for wrong in seen.wrong[:10]:
            print(f"  wrong: {wrong}")
        flat = judge(seen)
        with Depot.open(depot, create=False) as opened:
            sound = examine(opened).whole and entries <= set(opened.each_entry())
        print(f"depot {'whole' if sound else 'DAMAGED'}; server {'up' if alive else 'GONE'} "
              f"to the end; memory {'flat' if flat else 'GROWS'}")  # fmt: skip
        if given.to is not None:
            write(seen, given.to)
        raise SystemExit(0 if flat and sound and alive and not seen.wrong else 1)


if __name__ == "__main__":
    main()
