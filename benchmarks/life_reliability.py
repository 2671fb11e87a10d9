"""Do the forecasts hold where real depots live? Reliability on depots drawn afresh at each run.

    nice -n 19 python benchmarks/life_reliability.py [lives a row] [--seed N] [--rows WORD ...]

For each circumstance of :mod:`unmet_depots`: how often the true time left lies inside the 50, 80
and 90 % intervals of the pump's page, each share with its binomial 95 % interval (Wilson's) and
the standard error that allows for lives of one depot being alike; how far off the middle is; and
what the month's chance said and what came. The seed is printed; without one each run draws its own.
"""

from __future__ import annotations

import argparse
import itertools
import math
import secrets
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from unmet_depots import DAYS, PARTS, Circumstances, depot_of, seen

from wetend.advice.life.learned import learn
from wetend.advice.life.remaining import DAY, remaining

LEVELS = (1 / 3, 1.0, 3.0)
CHANGING = Circumstances(changing=0.2)
ROWS: dict[str, Circumstances] = {
    "one coating for ever": Circumstances(),
    "a fifth of months on others": CHANGING,
    "half of months on others": Circumstances(changing=0.5),
    "work follows the season": Circumstances(season=0.7),
    "truth a third, none failed": Circumstances(
        level=(1 / 3,), pumps=(4, 8), unseen=True, months=(1, 12)
    ),
    "truth as assumed, none failed": Circumstances(pumps=(4, 8), unseen=True, months=(1, 12)),
    "truth three times, none failed": Circumstances(
        level=(3.0,), pumps=(4, 8), unseen=True, months=(1, 12)
    ),
    "truth a third": Circumstances(level=(1 / 3,)),
    "truth three times": Circumstances(level=(3.0,)),
    "one in five badly fitted": Circumstances(bad=0.2),
    "the same, fitted yesterday": Circumstances(bad=0.2, fresh=True),
    "all pumps get worse": Circumstances(worsening=1.0),
    "one pump in four gets worse": Circumstances(worsening=0.25, each=0.7),
    "virtual age": Circumstances(young=0.3),
    "first ages unknown": Circumstances(unknown=0.8, months=(3, 18)),
    "200 pumps": Circumstances(pumps=(200, 200), changing=0.2, months=(12, 24)),
    "all of it": Circumstances(
        level=LEVELS, changing=0.2, season=0.5, bad=0.1, worsening=0.25, each=0.8, unknown=0.3
    ),
}
A_DEPOT = 4
"""Lives forecast in one depot, of few pumps; of many, one in ten pumps."""
BINS = (0.0, 0.01, 0.03, 0.06, 0.12, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True)
class Forecast:
    """One life's forecast and what came of it."""

    depot: int
    rank: float
    """Share of the forecast's draws that lie below the truth."""
    over: float
    """Middle of the forecast over the truth."""
    month: float
    came: bool
    effective: float


def _picked(rng: np.random.Generator, pumps: Sequence, today: int, how: Circumstances):
    """Lives to forecast on a day, without a look at what comes: pump and part."""
    pairs = [(bench, part) for bench in pumps for part in PARTS]
    found = []
    for place in rng.permutation(len(pairs)):
        bench, part = pairs[place]
        now = next((e for e in bench.ends[part] if e[0] <= today < e[2]), None)
        if now is None or now[1] <= today:
            continue
        if how.fresh and now[0] not in (today, today - 1):
            continue
        found.append((bench, part, now))
        if len(found) == max(A_DEPOT, len(pumps) // 10):
            break
    return found


def _day(rng: np.random.Generator, pumps: Sequence, how: Circumstances) -> int:
    low, high = 30 * how.months[0], 30 * how.months[1]
    if not how.fresh:
        return int(rng.integers(low, high))
    days = [e[0] + 1 for b in pumps for p in PARTS for e in b.ends[p] if low <= e[0] < high]
    return int(rng.choice(days)) if days else high


def depot(row: str, seed: int) -> list[Forecast]:
    """One depot's forecasts on one day."""
    how, rng = ROWS[row], np.random.default_rng(seed)
    pumps = depot_of(rng, how)
    today = _day(rng, pumps, how)
    known = {b.key: seen(b, today) for b in pumps}
    lives = [life for s in known.values() for life in s.lives]
    failed = {life.part for life in lives if life.ending != "going"}
    picked = [p for p in _picked(rng, pumps, today, how) if not (how.unseen and p[1] in failed)]
    if not picked:
        return []
    fleet = learn(lives, parts=PARTS)
    found = []
    for bench, part, (_, failing, _) in picked:
        one = known[bench.key]
        parts = {p: one.part(p) for p in PARTS}
        left = next(r for r in remaining("", one.ledger.usual, fleet, parts) if r.part == part)
        draws = left.times / DAY
        true = failing - today
        rank = float((draws < true).mean()) if failing < DAYS else 1.0
        found.append(Forecast(
            seed, rank, left.time.middle / DAY / true, left.month, true <= 30,
            fleet.beliefs[part].effective,
        ))  # fmt: skip
    return found


def wilson(hits: int, count: int) -> tuple[float, float]:
    """95 % interval of a share (E. B. Wilson, 1927; from memory)."""
    if not count:
        return 0.0, 1.0
    z, p = 1.96, hits / count
    middle = (p + z * z / (2 * count)) / (1 + z * z / count)
    half = z * math.sqrt(p * (1 - p) / count + z * z / (4 * count**2)) / (1 + z * z / count)
    return middle - half, middle + half


def _by_depot(inside: np.ndarray, depots: np.ndarray) -> float:
    """Standard error of a share that allows for lives of one depot being alike."""
    off = inside - inside.mean()
    sums = np.array([off[depots == d].sum() for d in np.unique(depots)])
    return float(np.sqrt((sums**2).sum()) / len(inside))


def coverage_line(row: str, found: Sequence[Forecast]) -> str:
    """One row of the table of coverage."""
    ranks, depots = np.array([f.rank for f in found]), np.array([f.depot for f in found])
    cells = []
    for level in (0.5, 0.8, 0.9):
        inside = np.abs(ranks - 0.5) <= level / 2
        low, high = wilson(int(inside.sum()), len(inside))
        cells.append(
            f"{inside.mean():.1%} ({low:.0%} to {high:.0%}; {_by_depot(inside, depots):.1%})"
        )
    month, came = np.mean([f.month for f in found]), np.mean([f.came for f in found])
    over = float(np.median([f.over for f in found]))
    return (
        f"| {row} | {len(found)} | {' | '.join(cells)} | {np.mean(ranks < 0.05):.1%} | "
        f"{np.mean(ranks > 0.95):.1%} | {over:.2f} | {month:.1%} | {came:.1%} |"
    )


def reliability(found: Sequence[Forecast]) -> list[str]:
    """What the month's chance said, and what came, by what it said."""
    lines = ["| said | lives | said, mean | came | 95 % interval |", "|---|---|---|---|---|"]
    said, came = np.array([f.month for f in found]), np.array([f.came for f in found])
    for low, high in itertools.pairwise(BINS):
        own = (said >= low) & ((said < high) | (high == 1.0))
        if own.any():
            a, b = wilson(int(came[own].sum()), int(own.sum()))
            lines.append(f"| {low:.0%} to {high:.0%} | {own.sum()} | {said[own].mean():.1%} | "
                         f"{came[own].mean():.1%} | {a:.1%} to {b:.1%} |")  # fmt: skip
    return lines


def _row(given: tuple[str, int, int]) -> tuple[str, list[Forecast]]:
    row, wanted, seed = given
    found: list[Forecast] = []
    for own in range(20 * wanted):
        if len(found) >= wanted:
            break
        found += depot(row, seed + own)
    return row, found


def main() -> None:
    """Print both tables."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("lives", nargs="?", type=int, default=300)
    asked.add_argument("--seed", type=int, default=secrets.randbelow(10**6) * 1000)
    asked.add_argument("--rows", nargs="*", default=[""])
    asked.add_argument("--workers", type=int, default=1)
    said = asked.parse_args()
    rows = [row for row in ROWS if any(word in row for word in said.rows)]
    print(f"seed {said.seed}\n")
    print("| depots | lives | 50 % | 80 % | 90 % (95 % interval; by depot) | below | above | "
          "middle over truth | said in a month | came |")  # fmt: skip
    print("|---|---|---|---|---|---|---|---|---|---|")
    every: list[Forecast] = []
    with ProcessPoolExecutor(said.workers) as pool:
        for row, found in pool.map(_row, [(row, said.lives, said.seed) for row in rows]):
            print(coverage_line(row, found), flush=True)
            every += [replace(f, depot=hash((row, f.depot))) for f in found]
    print("\nMonth's chance, all rows\n")
    print("\n".join(reliability(every)))
    print(f"\nfewest effective draws {min(f.effective for f in every):.0f}")


if __name__ == "__main__":
    main()
