"""Depots that exchange: how long, how many bytes, and what a kill in the middle loses.

    python benchmarks/exchange.py [--entries 10000] [--large 100000] [--kills 100] [--seed 1]
                                  [--postgresql URL]

1. Three depots with so many entries each (the third on PostgreSQL where a URL of an empty database
   is given) exchange in a ring until all hold the same.
2. A large record and one that lacks 100 of its entries exchange over a server of their own on this
   machine: bytes that go either way, and seconds.
3. `wetend sync` between two depots is killed at a random moment, so many times, with new entries
   written before each; then it is let run once. Nothing may be lost or doubled.

Ends with 1 where anything differs.
"""

from __future__ import annotations

import argparse
import random
import signal
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

import uvicorn

from wetend.pump.readings import Note
from wetend.records.device_tokens import make_token
from wetend.records.entries import Entry, new_entry
from wetend.records.exchange.network import NetworkSide
from wetend.records.exchange.sides import DepotSide
from wetend.records.exchange.union import exchange
from wetend.records.store import Depot
from wetend.web.app import create_app


def notes(count: int, word: str) -> list[Entry]:
    """So many entries of some 300 bytes."""
    return [
        new_entry("note", Note(text=f"{word} {n} " + "x" * 200), pump="p") for n in range(count)
    ]


class Counted(NetworkSide):
    """A depot over the network, with the bytes of questions and answers before they are packed."""

    sent = received = asked = 0

    def _sent(self, method: str, what: str, body: bytes = b"", media: str = "") -> bytes:
        answer = super()._sent(method, what, body, media)
        self.sent, self.received, self.asked = (
            self.sent + len(body),
            self.received + len(answer),
            self.asked + 1,
        )
        return answer


def ring(folder: Path, count: int, postgresql: str) -> bool:
    """Three depots in a ring; whether they end the same."""
    places: list[Any] = [
        folder / "a.sqlite3",
        folder / "b.sqlite3",
        postgresql or folder / "c.sqlite3",
    ]
    depots = [Depot.open(place, photos=folder / f"photos-{n}") for n, place in enumerate(places)]
    for number, depot in enumerate(depots):
        depot.append(*notes(count, str(number)))
    begun = time.perf_counter()
    for one, other in ((0, 1), (1, 2), (2, 0), (0, 1)):
        exchange(DepotSide(depots[one]), DepotSide(depots[other]))
    took = time.perf_counter() - begun
    held = [depot.entries() for depot in depots]
    same = held[0] == held[1] == held[2] and len(held[0]) == 3 * count
    kinds = "two SQLite and one PostgreSQL" if postgresql else "three SQLite"
    print(
        f"ring of {kinds}, {count:,} entries each: {took:.1f} s, "
        f"{'the same' if same else 'DIFFERENT'}"
    )
    for depot in depots:
        depot.close()
    return same


def small_in_large(folder: Path, count: int) -> bool:
    """A hundred new entries among many, over a server."""
    every = notes(count, "large")
    drawn = random.Random(2)
    lacking = {entry.id for entry in drawn.sample(every, 100)}
    same = True
    with Depot.open(folder / "server.sqlite3") as server:
        server.append(*every)
        token = make_token(server, "van")
        config = uvicorn.Config(create_app(server, passcode="x"), port=0, log_level="critical")
        running = uvicorn.Server(config)
        threading.Thread(target=running.run, daemon=True).start()
        while not running.started:
            time.sleep(0.01)
        port = running.servers[0].sockets[0].getsockname()[1]
        for name, gone in (("the latest", {e.id for e in every[-100:]}), ("scattered", lacking)):
            with Depot.open(folder / f"{name}.sqlite3") as van:
                van.append(*(e for e in every if e.id not in gone))
                begun = time.perf_counter()
                with Counted(f"http://127.0.0.1:{port}", token) as side:
                    found = exchange(DepotSide(van), side)
                took = time.perf_counter() - begun
                same = same and found.received == 100 and van.entries() == every
                print(
                    f"100 of {count:,} entries, {name}: {took:.1f} s, {side.asked} questions, "
                    f"{side.sent / 1000:.0f} kB there, {side.received / 1000:.0f} kB back"
                )
        running.should_exit = True
    return same


def kills(folder: Path, count: int, seed: int) -> bool:
    """A `wetend sync` killed so many times; whether all is there once at the end."""
    drawn, written = random.Random(seed), []
    places = [folder / "one.sqlite3", folder / "two.sqlite3"]
    for place in places:
        Depot.open(place).close()
    words = [sys.executable, "-m", "wetend", "--depot", str(places[0]), "sync", str(places[1])]
    ended = 0
    for _ in range(count):
        for place in places:
            with Depot.open(place) as depot:
                more = notes(400, place.stem)
                depot.append(*more)
                written += more
        with subprocess.Popen(
            words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        ) as running:
            time.sleep(drawn.uniform(0.3, 1.3))
            ended += running.poll() is not None
            running.send_signal(signal.SIGKILL)
    subprocess.run(words, check=True, stdout=subprocess.DEVNULL)
    held = []
    for place in places:
        with Depot.open(place) as depot:
            held.append(depot.entries())
    wanted = sorted(written, key=lambda e: e.id)
    same = held[0] == held[1] == wanted
    print(
        f"{count} kills of an exchange ({ended} had ended before): {len(wanted):,} entries, "
        f"{'none lost, none doubled' if same else 'DIFFERENT'}"
    )
    return same


def main() -> None:
    """Run the three and say what was found."""
    asked = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    asked.add_argument("--entries", type=int, default=10_000)
    asked.add_argument("--large", type=int, default=100_000)
    asked.add_argument("--kills", type=int, default=100)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--postgresql", default="")
    given = asked.parse_args()
    with tempfile.TemporaryDirectory(prefix="wetend-exchange-") as made:
        folder = Path(made)
        well = [
            ring(folder, given.entries, given.postgresql),
            small_in_large(folder, given.large),
            kills(folder, given.kills, given.seed),
        ]
    sys.exit(0 if all(well) else 1)


if __name__ == "__main__":
    main()
