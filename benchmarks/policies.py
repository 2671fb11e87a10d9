"""Does replacing by forecast beat a fixed number of litres and running to failure?

    python benchmarks/policies.py [depots for each row]

Invented depots live under laws that nobody in them knows; each learns from its own record of so
many months and is then played for two years under every policy on the truth, all policies meeting
the same lives. "Every so many litres" is given the best of five intervals chosen by looking at the
outcome afterwards, which no depot could do.
"""

from __future__ import annotations

import math
import sys
from concurrent.futures import ProcessPoolExecutor
from datetime import timedelta

import numpy as np
from invented_depots import (
    START,
    Truth,
    Worked,
    invented_pump,
    invented_truth,
    note_use,
    write_down,
)

from wetend.advice.fleet.arrays import Chunk, Policy
from wetend.advice.fleet.month import KIT, FleetPump, policies_of, prices_of
from wetend.advice.fleet.simulation import play
from wetend.advice.life.learned import learn
from wetend.advice.life.prior import MEDIAN_LIFE
from wetend.advice.life.records import lives_of, since_first
from wetend.advice.life.remaining import PartNow
from wetend.pump.costs import Costs
from wetend.pump.usage import LIFE_PARTS

PUMPS, DAYS, REPLICAS = 8, 730.0, 30
LITRES = (1.0, 2.0, 4.0, 8.0, 16.0)
"""m3 between services."""
HISTORIES = (3, 12, 36, 72)


def _truths(rng: np.random.Generator) -> list[Truth]:
    found = []
    for part in LIFE_PARTS:
        truth = invented_truth(rng)
        truth.law = str(rng.choice(["weibull", "lognormal"]))
        truth.middle *= MEDIAN_LIFE[part] / MEDIAN_LIFE["moving-packings"]
        found.append(truth)
    return found


def depot(seed: int, months: int) -> tuple[int, np.ndarray]:
    """Failures seen, and the mean cost of: to failure, each number of litres, forecast."""
    rng = np.random.default_rng((seed, months))
    truths = _truths(rng)
    pumps = [invented_pump(rng, n) for n in range(PUMPS)]
    for worked in pumps:
        for part, truth in zip(LIFE_PARTS, truths, strict=True):
            write_down(rng, worked, truth, part)
    today = months * 30
    lives, ledgers = [], []
    for worked in pumps:
        ledger = note_use(rng, worked, today)
        now = START + timedelta(days=today)
        seen = [f for f in worked.fitted if f.on <= now]
        lives += lives_of(worked.key, worked.key, ledger, seen,
                          [d for d in worked.sound if d <= now])  # fmt: skip
        ledgers.append(ledger)
    fleet, costs = learn(lives, draws=400), Costs()
    fleet_pumps = []
    for worked, ledger in zip(pumps, ledgers, strict=True):
        own = {v.part: v for v in lives if v.pump == worked.key and v.ended is None}
        parts = tuple(
            PartNow(own.get(part) or since_first(worked.key, worked.key, ledger, part))
            for part in LIFE_PARTS
        )
        x = fleet.at(ledger.usual, worked.key)
        fleet_pumps.append(FleetPump(worked.key, worked.key, worked.key, ledger.usual, x, parts))
    failing, _, forecast = policies_of(fleet_pumps, fleet, costs)
    played = play(_chunk(pumps, truths, today, failing, forecast, costs))
    failures = sum(v.ending != "going" for v in lives)
    return failures, played.cost.sum(axis=1).mean(axis=1)


def _chunk(
    pumps: list[Worked], truths: list[Truth], today: int, failing: Policy, forecast: Policy,
    costs: Costs,
) -> Chunk:  # fmt: skip
    """The truth as the play takes it."""
    location, scale, ages = _law(pumps, truths, today)
    a_litre = np.array([w.wear_a_litre() for w in pumps])
    services = [
        Policy(f"{m3 * 1000:.0f} L", failing.plan, failing.along, m3 * a_litre, KIT)
        for m3 in LITRES
    ]
    pace = np.array([w.pumped[today // 30 : today // 30 + 24].mean() / 30 for w in pumps])
    weibull = np.array([[t.law == "weibull"] * REPLICAS for t in truths])
    return Chunk(
        seeds=tuple(np.random.SeedSequence(today).spawn(len(pumps))), pace=pace * a_litre,
        pace_spread=np.zeros(len(pumps)), ages=ages, age_spread=np.zeros_like(ages),
        location=np.repeat(location[:, :, None], REPLICAS, axis=2),
        scale=np.repeat(scale[:, None], REPLICAS, axis=1), weibull=weibull,
        policies=(failing, *services, forecast), prices=prices_of(costs), days=DAYS,
    )  # fmt: skip


def _law(
    pumps: list[Worked], truths: list[Truth], today: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    location = np.array([
        [math.log(t.middle_at(w.duty.abrasiveness, w.duty.rate, w.site)) for t in truths]
        for w in pumps
    ])  # fmt: skip
    scale = np.array([1 / t.shape if t.law == "weibull" else 1.2 / t.shape for t in truths])
    now = START + timedelta(days=today)
    ages = np.zeros_like(location)
    for row, worked in enumerate(pumps):
        wear = worked.wear_by_day()
        for column, part in enumerate(LIFE_PARTS):
            on = max(f.on for f in worked.fitted if f.part == part and f.on <= now)
            ages[row, column] = wear[today] - wear[(on - START).days]
    return location, scale, ages


def row(months: int, wanted: int) -> tuple[int, float, np.ndarray]:
    """So many depots with so long a record."""
    told = [depot(seed, months) for seed in range(wanted)]
    return months, float(np.mean([n for n, _ in told])), np.array([c for _, c in told])


def _against(costs: np.ndarray, other: np.ndarray) -> str:
    saved = 1.0 - costs / other
    low, middle, high = np.quantile(saved, (0.05, 0.5, 0.95))
    cheaper = float((saved > 0).mean())
    return f"{middle:.0%} ({low:.0%} to {high:.0%}), cheaper in {cheaper:.0%}"


def main(wanted: int) -> None:
    """Print the table of docs/life.md."""
    print("| record, months | failures seen | saved against run to failure | against the best "
          "fixed litres, chosen afterwards | against 4 000 L |")  # fmt: skip
    print("|---|---|---|---|---|")
    with ProcessPoolExecutor() as pool:
        for months, failures, costs in pool.map(row, HISTORIES, [wanted] * len(HISTORIES)):
            failing, serviced, forecast = costs[:, 0], costs[:, 1:-1], costs[:, -1]
            others = (failing, serviced.min(axis=1), serviced[:, LITRES.index(4.0)])
            told = [_against(forecast, other) for other in others]
            print(f"| {months} | {failures:.0f} | {' | '.join(told)} |", flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
