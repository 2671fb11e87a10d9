"""Do the intervals hold what they say? Coverage by number of repairs, on invented depots.

    python benchmarks/life_coverage.py [depots for each row]

Prints the table of docs/life.md: how often the true life left lies inside the 90 % interval, below
and above it, and how wide the interval is (high over low).
"""

from __future__ import annotations

import sys
from concurrent.futures import ProcessPoolExecutor
from datetime import timedelta

import numpy as np
from invented_depots import PART, START, Worked, invented_pump, invented_truth, note_use, write_down

from wetend.advice.life.learned import learn
from wetend.advice.life.records import lives_of
from wetend.advice.life.remaining import PartNow, interval_of, wear_left

REPAIRS = (0, 1, 2, 3, 5, 8, 12, 20, 40)


def depot(seed: int, repairs: int) -> tuple[int, float] | None:
    """One depot the day after so many failures: -1, 0 or 1 as the truth lies below, in or above.

    The day is one that a depot could choose without knowing what comes: looking ahead to the next
    failure would make short waits too common.
    """
    rng = np.random.default_rng(seed)
    truth = invented_truth(rng)
    pumps = [invented_pump(rng, n) for n in range(int(rng.integers(3, 9)))]
    for worked in pumps:
        write_down(rng, worked, truth)
    ends = sorted(day for w in pumps for day, why in w.events if why != "planned")
    if len(ends) <= repairs:
        return None
    today = ends[repairs - 1] + 1 if repairs else int(rng.integers(60, 200))
    chosen = pumps[int(rng.integers(len(pumps)))]
    return _told(rng, pumps, chosen, today)


def _told(
    rng: np.random.Generator, pumps: list[Worked], chosen: Worked, today: int
) -> tuple[int, float] | None:
    now = START + timedelta(days=today)
    lives, book = [], None
    for worked in pumps:
        ledger = note_use(rng, worked, today)
        fitted = [f for f in worked.fitted if f.on <= now]
        lives += lives_of(worked.key, worked.key, ledger, fitted,
                          [d for d in worked.sound if d <= now])  # fmt: skip
        book = ledger if worked is chosen else book
    fleet = learn(lives, parts=(PART,), draws=400)
    current = next(v for v in lives if v.pump == chosen.key and v.ended is None)
    x = fleet.at(book.usual, chosen.key)
    left = wear_left(fleet, PART, x, PartNow(current), np.random.default_rng(1))
    span = interval_of(left)
    ends = [day for day, _ in chosen.events if day > today]
    if not ends:
        return None
    wear = chosen.wear_by_day()
    true = wear[chosen.true_ends[ends[0]]] - wear[today]
    if true <= 0:
        return None
    side = -1 if true < span.low else 1 if true > span.high else 0
    return side, span.high / max(span.low, 1e-9 * span.high)


def row(repairs: int, wanted: int) -> tuple[int, list[tuple[int, float]]]:
    """So many depots seen until so many repairs."""
    found: list[tuple[int, float]] = []
    seed = 1000 * repairs
    while len(found) < wanted and seed < 1000 * repairs + 40 * wanted:
        told = depot(seed + 7919 * repairs, repairs)
        seed += 1
        if told is not None:
            found.append(told)
    return repairs, found


def main(wanted: int) -> None:
    """Print the table."""
    print("| failures seen | depots | inside | below | above | high over low, middle |")
    print("|---|---|---|---|---|---|")
    with ProcessPoolExecutor() as pool:
        for repairs, found in pool.map(row, REPAIRS, [wanted] * len(REPAIRS)):
            sides = np.array([s for s, _ in found])
            width = float(np.median([w for _, w in found]))
            shares = [f"{np.mean(sides == side):.1%}" for side in (0, -1, 1)]
            print(f"| {repairs} | {len(found)} | {' | '.join(shares)} | {width:.1f} |", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 400)
