"""Hold the diagnosis to account: are its chances and sizes right, and does it save time?

1. Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari and Gelman, "Validating
   Bayesian inference algorithms with simulation-based calibration", arXiv 1804.06788, 2018): pumps
   from the prior, readings from the likelihood, ranks of the true leaks in the posterior. Tests
   the sums.
2. Pumps played by the model in time and read as people read: reliability, Brier score, ranking,
   false alarms, two faults at once. Tests the answer, with all that the steady model leaves out.
3. Minutes to fixed, by the next-check advice and by a fixed textbook round, on the same pumps.

Run as ``python benchmarks/calibration.py [--share 1.0] [--write]``; ``--write`` puts the figures
into ``docs/diagnosis.md`` and draws ``docs/reliability.svg``. 2,000 pumps at share 1.
"""

from __future__ import annotations

import argparse
import json
import math
import re
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np
from scipy.stats import chi2

from wetend.advice.fault_finding.causes import (
    CAUSES_OF,
    NOTHING_KNOWN,
    Cause,
    chances,
    combinations_of_causes,
)
from wetend.advice.fault_finding.checks import CHECKS
from wetend.advice.fault_finding.evidence import Reading, evidence_of
from wetend.advice.fault_finding.faults import Fault
from wetend.advice.fault_finding.hidden import HiddenPump
from wetend.advice.fault_finding.observables import OBSERVABLES, Key, play
from wetend.advice.fault_finding.policy import Asked, asked_at, play_best, play_fixed, reader
from wetend.advice.fault_finding.posterior import Cloud, weigh
from wetend.advice.fault_finding.prior import DROPS, NUISANCES, SIZES, Setting
from wetend.advice.fault_finding.summary import chance
from wetend.errors import NoAnswer
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

DOCS = Path(__file__).parents[1] / "docs"
PUMPS, COATINGS = tuple(demo_pump(key) for key in DEMO_PUMPS), demo_coatings()
PARTICLES = 5000
LEAKS = (Cause.FOOT, Cause.PISTON, Cause.STATIC, Cause.OUTSIDE)
DRAWS, BINS = 99, 20
READ: tuple[Key, ...] = (
    "up_time", "down_time", "spray_pressure", "stall_pressure", "creep_up", "creep_down",
    "wet_cup", "outside_looked",
)  # fmt: skip
ROUND: tuple[CheckKey, ...] = (
    "wet-cup", "outside", "changeover", "early-drop", "gauge-spray", "gauge-stall", "strokes",
    "creep",
)  # fmt: skip
"""The checks done on every pump for reliability: all the quick ones."""
RUNNING = tuple(c.key for c in CHECKS if "opened" not in c.needs)
"""Every check that opens nothing."""
SEEN = 0.25
"""Chance to see a drop or a knock from which a late or empty cylinder counts as moderate: less is
under a twentieth of the stroke, and reads as a sound pump."""


def _setting(number: int) -> Setting:
    return Setting(PUMPS[number % 2], COATINGS[number // 2 % 4], None, 293.15)


def _read(key: Key, true: float, rng: np.random.Generator) -> Reading:
    """A reading as the likelihood has it: Student's t of four degrees on the error's scale."""
    what = OBSERVABLES[key]
    if what.unit is None:
        return Reading(what, float(rng.random() < true), 0.0)
    error = float(what.error(np.asarray(true)))
    seen = float(what.scale(np.asarray(true))) + error * float(rng.standard_t(4.0))
    if key.startswith("creep"):
        value = max(math.exp(seen) - 2e-3 / 60, 0.0)
    else:
        value = math.exp(seen) if "time" in key else seen
    return Reading(what, value, error)


def sbc_case(number: int) -> list[int]:
    """Ranks of the true leaks among draws from the posterior."""
    rng = np.random.default_rng([1, number])
    setting, rows = _setting(number), combinations_of_causes()
    present = rows[[rng.choice(len(rows), p=chances(setting.coating))]]
    truth = play(setting, rng.standard_normal((1, SIZES)), present)
    given = [_read(key, float(truth.reads[key][0]), rng) for key in READ]
    cloud = weigh(setting, given, particles=PARTICLES, seed=number)
    drawn = rng.choice(len(cloud.weight), size=DRAWS, p=cloud.weight)
    return [_rank(cloud.played.leak[c][drawn], float(truth.leak[c][0]), rng) for c in LEAKS]


def _rank(drawn: np.ndarray, true: float, rng: np.random.Generator) -> int:
    """Place of the truth among draws, ties (a leak that isn't there is nought) by lot."""
    return int(np.sum(drawn < true) + rng.integers(np.sum(drawn == true) + 1))


def _played(
    number: int, stream: int, causes: Sequence[Cause] | None, *, sized: bool
) -> tuple[HiddenPump, dict[Key, float], Callable[[CheckKey], dict[str, object]]] | None:
    rng = np.random.default_rng([stream, number])
    hidden = HiddenPump.drawn(PUMPS[number % 2], COATINGS[number // 2 % 4], rng, causes=causes)
    if sized:  # moderate: from a little under the middle size to one spread over it
        for cause in hidden.causes:
            hidden.z[0, NUISANCES + cause] = rng.uniform(-0.5, 1.0)
    try:
        shown = hidden.in_time
    except NoAnswer:
        return None
    if sized and set(hidden.causes) & set(DROPS) and shown["early_drop"] < SEEN:
        return None
    return hidden, shown, reader(shown, number)


def _order(cloud: Cloud) -> list[tuple[Fault, float]]:
    return sorted(((f, chance(cloud, f)) for f in Fault), key=lambda item: -item[1])


def _cloud(hidden: HiddenPump, fields: dict[str, object], seed: int) -> Cloud:
    readings = CheckReadings.model_validate(fields)
    setting = Setting.of(hidden.pump, hidden.coating, readings)
    return weigh(setting, evidence_of(readings), particles=PARTICLES, seed=seed)


def prior_case(number: int) -> list[tuple[float, bool]] | None:
    """Chance given to every fault of a pump from the prior, and whether it is there."""
    got = _played(number, 2, None, sized=False)
    if got is None:
        return None
    hidden, _, read = got
    fields = asked_at(Asked(hidden.pump, hidden.coating, NOTHING_KNOWN))
    for check in ROUND:
        fields |= read(check)
    return [(p, f in hidden.faults) for f, p in _order(_cloud(hidden, fields, number))]


def single_case(number: int) -> tuple[str, int, int, int] | None:
    """The place of the one true fault after the three checks that tell most; and after all that
    the advice asks for, and how many those are.
    """
    faults = list(Fault)
    fault = faults[number % len(faults)]
    rng = np.random.default_rng([30, number])
    causes = CAUSES_OF[fault]
    got = _played(number, 3, [causes[rng.integers(len(causes))]], sized=True)
    if got is None:
        return None
    hidden, _, read = got
    asked = Asked(hidden.pump, hidden.coating, NOTHING_KNOWN)
    fields, done, third = asked_at(asked), [], -1
    while True:
        stand = asked.stand(fields, done, particles=PARTICLES)
        running = [c for c in stand.checks if "opened" not in c.needs]
        place = [f for f, _ in _order(stand.cloud)].index(fault)
        if len(done) == 3:
            third = place
        if len(done) >= 3 and not (running and stand.checks[0].worth and len(done) < 9):
            return fault.value, third, place, len(done)
        told = max(running, key=lambda c: c.bits) if len(done) < 3 else stand.checks[0]
        fields |= read(told.key)
        done.append(told.key)


def pair_case(number: int) -> tuple[bool, bool] | None:
    """Whether two faults at once are the first two; and both over one half; quick checks done."""
    rng = np.random.default_rng([40, number])
    rows = combinations_of_causes()
    pairs = [row for row in rows if row.sum() == 2]
    row = pairs[rng.integers(len(pairs))]
    got = _played(number, 4, [c for c in Cause if row[c]], sized=True)
    if got is None:
        return None
    hidden, _, read = got
    fields = asked_at(Asked(hidden.pump, hidden.coating, NOTHING_KNOWN))
    for check in RUNNING:
        fields |= read(check)
    order = _order(_cloud(hidden, fields, number))
    first = {f for f, _ in order[:2]}
    return first == set(hidden.faults), all(p >= 0.5 for f, p in order if f in hidden.faults)


def sound_case(number: int) -> tuple[float, bool] | None:
    """The greatest chance given to a fault of a sound pump; and whether it opens the wet end."""
    got = _played(number, 5, (), sized=False)
    if got is None:
        return None
    hidden, _, read = got
    fields = asked_at(Asked(hidden.pump, hidden.coating, NOTHING_KNOWN))
    for check in ROUND:
        fields |= read(check)
    return _order(_cloud(hidden, fields, number))[0][1], False


def policy_case(number: int) -> tuple[float, float, float, float] | None:
    """Minutes to fixed by advice and by the textbook round; and those of checking alone."""
    got = _played(number, 6, None, sized=False)
    if got is None:
        return None
    hidden, shown, _ = got
    asked = Asked(hidden.pump, hidden.coating, NOTHING_KNOWN)
    best = play_best(asked, hidden.faults, shown, seed=number)
    fixed = play_fixed(asked, hidden.faults, shown, seed=number)
    return best.minutes, fixed.minutes, best.checking, fixed.checking


def rank_counts(ranks: Sequence[int]) -> tuple[list[int], float]:
    """Counts of ranks in equal bins, and the chance of counts as uneven as these."""
    counts = np.bincount(np.asarray(ranks) * BINS // (DRAWS + 1), minlength=BINS)
    even = len(ranks) / BINS
    return counts.tolist(), float(chi2.sf(np.sum((counts - even) ** 2 / even), BINS - 1))


def between(values: Sequence[float], rng: np.random.Generator) -> tuple[float, float, float]:
    """Mean with its 95 % bootstrap interval."""
    held = np.asarray(values)
    means = [held[rng.integers(len(held), size=len(held))].mean() for _ in range(2000)]
    low, high = np.quantile(means, (0.025, 0.975))
    return float(held.mean()), float(low), float(high)


def reliability(cases: Sequence[tuple[float, bool]]) -> list[tuple[float, float, int]]:
    """By tenths of the chance given: mean chance, share there, count."""
    given = np.array([p for p, _ in cases])
    there = np.array([t for _, t in cases])
    place = np.minimum((given * 10).astype(int), 9)
    return [(float(given[place == k].mean()), float(there[place == k].mean()), int(n))
            for k in range(10) if (n := np.sum(place == k))]  # fmt: skip


def draw(rows: Sequence[tuple[float, float, int]]) -> str:
    """The reliability diagram: chance given against share found there, with 95 % bars."""
    left, top, size = 46.0, 14.0, 260.0

    def at(x: float, y: float) -> tuple[float, float]:
        return left + size * x, top + size * (1 - y)

    marks = []
    for given, there, count in rows:
        half = 1.96 * math.sqrt(max(there * (1 - there), 0.25 / count) / count)
        x, low = at(given, max(there - half, 0.0))
        _, high = at(given, min(there + half, 1.0))
        _, y = at(given, there)
        marks.append(f'<path d="M{x:.1f} {low:.1f}V{high:.1f}"/><circle cx="{x:.1f}" '
                     f'cy="{y:.1f}" r="3.5"/>')  # fmt: skip
    ticks = "".join(
        f'<text x="{at(v, 0)[0]:.0f}" y="{top + size + 16:.0f}" text-anchor="middle">{v:.1f}</text>'
        f'<text x="{left - 6:.0f}" y="{at(0, v)[1] + 4:.0f}" text-anchor="end">{v:.1f}</text>'
        for v in (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
    )
    x0, y0 = at(0, 0)
    x1, y1 = at(1, 1)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 330 330" role="img" '
        'font-family="sans-serif" font-size="11"><title>Reliability of the chances given</title>'
        "<desc>Chance given to a fault, across, against how often it was there, up, with bars of "
        "95 %; the diagonal is perfect.</desc>"
        '<rect width="330" height="330" fill="#fff"/>'
        f'<rect x="{left}" y="{top}" width="{size}" height="{size}" fill="none" stroke="#222"/>'
        f'<path d="M{x0} {y0}L{x1} {y1}" stroke="#888" stroke-dasharray="4 3"/>{ticks}'
        f'<g stroke="#0b5cad" fill="#0b5cad" stroke-width="1.5">{"".join(marks)}</g>'
        f'<text x="{left + size / 2}" y="{top + size + 36}" text-anchor="middle">'
        "chance given</text>"
        f'<text transform="translate(12 {top + size / 2}) rotate(-90)" text-anchor="middle">'
        "share there</text></svg>\n"
    )


def _all(work: Callable[[int], object], count: int, pool: ProcessPoolExecutor) -> list[object]:
    start = time.perf_counter()
    found = [c for c in pool.map(work, range(count), chunksize=8) if c is not None]
    spent = time.perf_counter() - start
    print(f"{work.__name__}: {len(found)} of {count} in {spent:.0f} s", flush=True)
    return found


PARTS = {sbc_case: 800, prior_case: 900, single_case: 480, pair_case: 320, sound_case: 300,
         policy_case: 240}  # fmt: skip
"""Pumps of each part at share 1."""


def measure(share: float, pool: ProcessPoolExecutor) -> dict[str, object]:
    """Every figure."""
    return figures(*(_all(part, max(int(share * n), 12), pool) for part, n in PARTS.items()))


def figures(
    ranked: list[object], prior: list[object], single: list[object], pairs: list[object],
    sound: list[object], timed: list[object],
) -> dict[str, object]:  # fmt: skip
    """Every figure from the cases of each part."""
    rng = np.random.default_rng(0)
    ranks, policy = np.array(ranked), np.array(timed)
    flat = [pair for case in prior for pair in case]
    brier = float(np.mean([(p - t) ** 2 for p, t in flat]))
    base = float(np.mean([t for _, t in flat]))
    by_fault: dict[str, list[int]] = {}
    for fault, _, place, _ in single:
        by_fault.setdefault(fault, []).append(place)
    return {
        "sbc": {c.name: rank_counts(ranks[:, k].tolist()) for k, c in enumerate(LEAKS)},
        "sbc_cases": len(ranks),
        "cases": len(prior) + len(single) + len(pairs) + len(sound),
        "reliability": reliability(flat),
        "brier": brier,
        "brier_of_base_rates": base * (1 - base),
        "first": float(np.mean([third == 0 for _, third, _, _ in single])),
        "first_two": float(np.mean([third <= 1 for _, third, _, _ in single])),
        "end_first": float(np.mean([place == 0 for _, _, place, _ in single])),
        "end_first_two": float(np.mean([place <= 1 for _, _, place, _ in single])),
        "end_checks": float(np.mean([count for _, _, _, count in single])),
        "by_fault": {f: (float(np.mean(np.array(p) == 0)), float(np.mean(np.array(p) <= 1)))
                     for f, p in by_fault.items()},
        "pairs_first_two": float(np.mean([a for a, _ in pairs])),
        "pairs_over_half": float(np.mean([b for _, b in pairs])),
        "alarms": float(np.mean([p >= 0.7 for p, _ in sound])),
        "policy": between(policy[:, 0].tolist(), rng),
        "textbook": between(policy[:, 1].tolist(), rng),
        "saved": between((policy[:, 1] - policy[:, 0]).tolist(), rng),
        "checking": [float(policy[:, 2].mean()), float(policy[:, 3].mean())],
        "counts": {"prior": len(prior), "single": len(single), "pairs": len(pairs),
                   "sound": len(sound), "policy": len(policy)},
    }  # fmt: skip


def main() -> None:
    """Measure, print, and write where asked."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--share", type=float, default=1.0, help="of 2,000 pumps")
    parser.add_argument("--write", action="store_true", help="into docs")
    parser.add_argument("--workers", type=int, default=2)
    asked = parser.parse_args()
    with ProcessPoolExecutor(asked.workers) as pool:
        found = measure(asked.share, pool)
    print(json.dumps(found, indent=1))
    if asked.write:
        write(found)


def _percent(share: object) -> str:
    return f"{100 * float(str(share)):.1f} %"


def _span(values: object) -> str:
    assert isinstance(values, list | tuple)
    return f"{values[0]:.1f} ({values[1]:.1f} to {values[2]:.1f})"


def table(found: dict[str, object]) -> str:
    """The figures as a Markdown table."""
    counts, sbc = found["counts"], found["sbc"]
    assert isinstance(counts, dict)
    assert isinstance(sbc, dict)
    rows = [
        (f"Brier score, {counts['prior']} pumps from the prior, 12 faults each",
         f"{found['brier']:.4f} (base rates alone: {found['brier_of_base_rates']:.4f})", ""),
        (f"one moderate fault ranks first, best three checks, {counts['single']} pumps",
         _percent(found["first"]), "90 %"),
        ("… within the first two", _percent(found["first_two"]), "97 %"),
        (f"… first when the advice stops asking, after {found['end_checks']:.1f} checks",
         _percent(found["end_first"]), ""),
        ("… within the first two", _percent(found["end_first_two"]), ""),
        (f"two faults are the first two named, {counts['pairs']} pumps, every running check",
         _percent(found["pairs_first_two"]), "75 %"),
        ("… both given a chance over one half", _percent(found["pairs_over_half"]), ""),
        (f"sound pumps said to have a likely fault, {counts['sound']} pumps",
         _percent(found["alarms"]), "under 5 %"),
        (f"minutes to fixed by the advice, {counts['policy']} pumps", _span(found["policy"]), ""),
        ("… by the textbook round", _span(found["textbook"]), ""),
        ("… saved", _span(found["saved"]), "over 0"),
        *((f"ranks of the {name.lower()} leak, {found['sbc_cases']} pumps: p of even counts",
           f"{p:.2f}", "over 0.01") for name, (_, p) in sbc.items()),
    ]  # fmt: skip
    by_fault = found["by_fault"]
    assert isinstance(by_fault, dict)
    single = [f"| {fault} | {_percent(a)} | {_percent(b)} |" for fault, (a, b) in by_fault.items()]
    return "\n".join(
        ["| figure | reached | wanted |", "|---|---|---|",
         *(f"| {a} | {b} | {c} |" for a, b, c in rows), "",
         "One fault when the advice stops asking, by fault:", "",
         "| fault | first | first two |", "|---|---|---|", *single]
    )  # fmt: skip


def write(found: dict[str, object]) -> None:
    """Put the figures into the document, between their marks, and draw the diagram."""
    page = DOCS / "diagnosis.md"
    text = page.read_text("utf-8")
    marks = r"(<!-- figures -->\n).*?(\n<!-- end of figures -->)"
    page.write_text(
        re.sub(marks, lambda m: m[1] + table(found) + m[2], text, flags=re.DOTALL), "utf-8"
    )
    rows = found["reliability"]
    assert isinstance(rows, list)
    (DOCS / "reliability.svg").write_text(draw(rows), "utf-8")


if __name__ == "__main__":
    main()
