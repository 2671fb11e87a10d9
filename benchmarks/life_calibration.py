"""Simulation-based calibration of the belief about lives, for every part's model.

    nice -n 19 python benchmarks/life_calibration.py [depots a part] [--seed N]

Parameters are drawn from a part's own prior, lives from those, the posterior from the lives: the
rank of each true parameter among its draws is then even, if the calculation is right, whatever the
prior (S. Talts and others, Validating Bayesian Inference Algorithms with Simulation-Based
Calibration, arXiv 1804.06788, 2018). Ranked are the log median at a depot's use, the log scale, the
share badly fitted, and the next life itself. The fewest effective draws are printed beside.
"""

from __future__ import annotations

import argparse
import math
import secrets

import numpy as np
from scipy import stats

from wetend.advice.life.prior import prior_of
from wetend.pump.usage import LIFE_PARTS, LifePart
from wetend.stats.life.belief import believe, remaining_lives, stratified
from wetend.stats.life.early import EARLY_MEDIAN, share_of
from wetend.stats.lifetimes import lifetimes

RANKED = ("log median", "log scale", "badly fitted", "next life")
BINS = 10


def _life(rng: np.random.Generator, median: float, scale: float, early: float, *, weibull: bool):
    """One life of the mixture, by its parts' own generators."""
    if rng.uniform() < early:
        return rng.exponential(math.exp(EARLY_MEDIAN) * median / math.log(2.0))
    if weibull:
        return median / math.log(2.0) ** scale * rng.weibull(1.0 / scale)
    return median * math.exp(rng.normal(0.0, scale))


def ranks(part: LifePart, seed: int) -> tuple[dict[str, float], float]:
    """Rank of each truth among the draws, 0 to 1, and the effective draws."""
    rng = np.random.default_rng((seed, LIFE_PARTS.index(part)))
    prior = prior_of(part, ())
    means, deviations = prior.theta
    theta = means + deviations * rng.standard_normal(len(means))
    early, scale = float(share_of(theta[0])), math.exp(theta[-1])
    weibull = bool(rng.uniform() < 0.5)
    count = int(rng.integers(0, 25))
    rows = rng.uniform(0.0, 1.0, (count, len(prior.means) - 1)) * (rng.uniform(size=6) < 0.5)
    ends: dict[str, list] = {"failed": [], "going": [], "between": []}
    kept: dict[str, list] = {"failed": [], "going": [], "between": []}
    for row in rows:
        median = math.exp(theta[1] + row @ theta[2:-1])
        life = _life(rng, median, scale, early, weibull=weibull)
        look, kind = math.exp(means[1] + rng.normal(-0.3, 0.8)), "failed"
        if life > look:
            kind = "going"
        elif rng.uniform() < 0.3:
            kind = "between"
        ends[kind].append({"failed": life, "going": look, "between": (0.3 * life, look)}[kind])
        kept[kind].append(row)
    found = believe(
        lifetimes(
            ends["failed"], going=ends["going"], between=ends["between"],
            **{f"{k}_x": v for k, v in kept.items()} if count else {},
        ) if count else lifetimes(), prior, draws=999, seed=seed,
    )  # fmt: skip
    x = np.concatenate([[1.0], rng.uniform(0.0, 1.0, 6)])
    at = float(theta[1:-1] @ x)
    after = _life(rng, math.exp(at), scale, early, weibull=weibull)
    nexts = remaining_lives(found, x, age=0.0, uniform=stratified(rng, 999))
    place = {
        "log median": (found.location(x) < at).mean(),
        "log scale": (np.log(found.scales) < theta[-1]).mean(),
        "badly fitted": (found.early < early).mean(),
        "next life": (nexts < after).mean(),
    }
    return {name: float(value) for name, value in place.items()}, found.effective


def evenness(found: list[float]) -> float:
    """Chance of ranks so uneven where they are even (chi-squared)."""
    counts = np.histogram(found, bins=BINS, range=(0.0, 1.0))[0]
    return float(stats.chisquare(counts).pvalue)


def main() -> None:
    """Print the shares of ranks in tenths, part by part and all together."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("depots", nargs="?", type=int, default=200)
    asked.add_argument("--seed", type=int, default=secrets.randbelow(10**6) * 1000)
    said = asked.parse_args()
    print(f"seed {said.seed}\n\n| part | {' | '.join(RANKED)} | fewest effective draws |")
    print("|---|---|---|---|---|---|")
    every: dict[str, list[float]] = {name: [] for name in RANKED}
    for part in LIFE_PARTS:
        found = [ranks(part, said.seed + n) for n in range(said.depots)]
        own = {name: [each[name] for each, _ in found] for name in RANKED}
        for name in RANKED:
            every[name] += own[name]
        cells = " | ".join(f"{evenness(own[name]):.3f}" for name in RANKED)
        print(f"| {part} | {cells} | {min(e for _, e in found):.0f} |", flush=True)
    print("| all | " + " | ".join(f"{evenness(every[name]):.3f}" for name in RANKED) + " | |")
    for name in RANKED:
        counts = np.histogram(every[name], bins=BINS, range=(0.0, 1.0))[0]
        print(f"\n{name}: ranks in tenths {counts.tolist()}")


if __name__ == "__main__":
    main()
