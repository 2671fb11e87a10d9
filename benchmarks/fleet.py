"""A fleet of 5,000 pumps over five years: forecast of all, the fleet's page, memory, a cluster.

    python benchmarks/fleet.py [pumps] [--keep FILE] [--no-cluster]

Builds an invented record (not timed), then times reading it and learning from it, the month of
every pump, sixty months played under three policies on two cores, the fleet's page, and the same
months on a local Dask cluster, which have to come to the same to the last digit. Wall time is told
beside the processors' time: on a busy machine only the latter says what the work takes.
Budgets: forecast of all 60 s on two cores, page p95 100 ms, memory 1 GB.
"""

from __future__ import annotations

import importlib
import os
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
from fastapi.testclient import TestClient

from wetend.pump.costs import Costs
from wetend.pump.toml import demo_pump
from wetend.pump.usage import LIFE_PARTS, PartFitted, Usage
from wetend.records.entries import Entry, EntryKind
from wetend.records.ids import new_id
from wetend.records.store import Depot
from wetend.units.noun import Noun
from wetend.web.app import create_app
from wetend.workflows import fleet
from wetend.workflows.desk import Desk
from wetend.workflows.executors import opened
from wetend.workflows.life_facts import facts

YEARS = 5
MONTHS = 60
REPLICAS = 20
LIVES = (900, 700, 1300, 800, 1500, 1300, 4000, 3500, 160, 400)
"""Invented mean lives in days, in the order of the parts."""
COATINGS = ("zinc-primer", "epoxy-tank", "alkyd-topcoat", "glass-flake-polyester")


def _entry(kind: EntryKind, noun: Noun, pump: str, day: date) -> Entry:
    at = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
    return Entry.model_construct(
        id=new_id(), kind=kind, pump=pump, visit=None, at=at, who="", place="", device="",
        version="", corrects=None, payload=noun.model_dump_json(),
    )  # fmt: skip


def record(pumps: int, today: date, seed: int = 9) -> Iterator[Entry]:
    """Quarterly use and every part fitted, pump by pump."""
    rng = np.random.default_rng(seed)
    builds = [demo_pump("quay-air"), demo_pump("yard-hydraulic")]
    start = today - timedelta(days=365 * YEARS)
    for number in range(pumps):
        key, kind = f"pump-{number:05d}", number % 4
        pump = builds[number % 2].model_copy(
            update={"key": key, "name": f"Pump {number}", "site": f"Site {number // 12}"}
        )
        yield _entry("pump-described", pump, key, start)
        litres = float(rng.uniform(0.005, 0.03)) * (1 + 3 * (kind in (1, 2)))
        for quarter in range(4 * YEARS):
            first = start + timedelta(days=91 * quarter)
            use = Usage(first=first, last=first + timedelta(days=90), coating=COATINGS[kind],
                        pumped=91 * litres * float(rng.uniform(0.7, 1.3)))  # fmt: skip
            yield _entry("usage", use, key, first)
        for part, mean in zip(LIFE_PARTS, LIVES, strict=True):
            day, why = start, "first fitted"
            while day < today:
                yield _entry("part-fitted", PartFitted(part=part, why=why, on=day), key, day)
                day += timedelta(days=1 + int(mean * rng.weibull(2.2)))
                why = "worn out" if rng.uniform() < 0.6 else "found worn"


class _Watch:
    """Wall and processor time of a stretch of work, children too."""

    def __enter__(self) -> _Watch:
        self._wall, self._cpu = time.perf_counter(), self._spent()
        return self

    def __exit__(self, *_: object) -> None:
        self.wall = time.perf_counter() - self._wall
        self.cpu = self._spent() - self._cpu

    @staticmethod
    def _spent() -> float:
        t = os.times()
        return t.user + t.system + t.children_user + t.children_system


def _line(what: str, watch: _Watch) -> None:
    print(f"{what:58s} {watch.wall:8.2f} s wall {watch.cpu:8.2f} s processor", flush=True)


def _memory() -> float:
    """Most memory this process held, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def main(pumps: int, where: Path) -> None:
    """Build, measure, print."""
    today = datetime.now(UTC).date()
    with Depot.open(where) as depot:
        if not depot.state(kinds=("pump-described",))[0]:
            with _Watch() as built:
                count = depot.merge(record(pumps, today))
            _line(f"(built {count} entries)", built)
    with Depot.open(where) as depot:
        desk = Desk(depot)
        with _Watch() as read:
            known = facts(desk, today=today)
        _line(f"read {len(known.pumps)} pumps, learn from their repairs", read)
        with _Watch() as month:
            lines = fleet.due(desk, Costs(), today=today)
        _line(f"the month of {len(lines)} pumps", month)
        with _Watch() as played, opened("processes:2") as workers:
            there = fleet.simulate(desk, workers, months=MONTHS, replicas=REPLICAS, today=today)
        _line(f"{MONTHS} months, three policies, {REPLICAS} times", played)
        total = read.wall + month.wall + played.wall
        spent = read.cpu + month.cpu + played.cpu
        print(f"forecast of all: {total:.1f} s wall, {spent:.1f} s processor (budget 60 s)")
        for o in there.outcomes:
            print(f"  {o.policy:16s} cost {o.cost.middle:14,.0f} "
                  f"({o.cost.low:,.0f} to {o.cost.high:,.0f})")  # fmt: skip
        _page(depot)
        print(f"most memory held here: {_memory():.0f} MB (budget 1000 MB)")
        if "--no-cluster" not in sys.argv:
            _cluster(desk, there, today)


def _cluster(desk: Desk, there: fleet.Months, today: date) -> None:
    """The same months on a local Dask cluster of two worker processes."""
    try:
        distributed = importlib.import_module("distributed")
    except ImportError:
        print("Dask is not installed: the cluster was not tried")
        return
    with (
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None)
        as cluster,
        _Watch() as played,
        opened(cluster.scheduler_address.replace("tcp://", "dask://")) as workers,
    ):  # fmt: skip
        same = fleet.simulate(desk, workers, months=MONTHS, replicas=REPLICAS, today=today)
    _line("the same on a Dask cluster of two workers", played)
    print("the cluster's answer is", "the same" if same == there else "ANOTHER")


def _page(depot: Depot) -> None:
    with TestClient(create_app(depot), base_url="http://localhost") as client:
        client.get("/fleet")
        spent = []
        for turn in range(60):
            start = time.process_time()
            wall = time.perf_counter()
            assert client.get(f"/fleet?page={1 + turn % 5}").status_code == 200
            spent.append((time.perf_counter() - wall, time.process_time() - start))
    wall, cpu = (np.quantile(each, 0.95) for each in zip(*spent, strict=True))
    print(f"fleet page p95: {1e3 * wall:.0f} ms wall, {1e3 * cpu:.0f} ms processor (budget 100 ms)")


if __name__ == "__main__":
    asked = int(sys.argv[1]) if len(sys.argv) > 1 and sys.argv[1].isdigit() else 5000
    if "--keep" in sys.argv:
        main(asked, Path(sys.argv[sys.argv.index("--keep") + 1]))
    else:
        with tempfile.TemporaryDirectory() as folder:
            main(asked, Path(folder) / "fleet.sqlite3")
