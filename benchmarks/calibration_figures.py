"""The calibration's figures from its cases: shares with intervals, the table, the diagram."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.figure import Figure
from scipy.stats import chi2

from wetend.advice.diagnosis.words import LIKELY
from wetend.advice.faults.tables import CAUSE

DOCS = Path(__file__).parents[1] / "docs"
LEAKS = (CAUSE["foot"], CAUSE["piston"], CAUSE["static"], CAUSE["outside"])
DRAWS, BINS = 99, 20


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


def draw(rows: Sequence[tuple[float, float, int]], path: Path) -> None:
    """The reliability diagram: chance given against share found there, with 95 % bars."""
    given, there, count = np.array(rows).T
    half = 1.96 * np.sqrt(np.maximum(there * (1 - there), 0.25 / count) / count)
    bars = np.minimum(half, there), np.minimum(half, 1 - there)
    with mpl.rc_context({"svg.hashsalt": "reliability", "svg.fonttype": "none"}):
        figure = Figure(figsize=(4.2, 4.2), layout="constrained")
        axes = figure.subplots()
        axes.plot([0, 1], [0, 1], color="#888888", linestyle="--", label="chances that hold")
        axes.errorbar(given, there, bars, fmt="o", color="#1b4965", label="found, with 95 %")
        axes.set(xlabel="chance given", ylabel="share there", xlim=(0, 1), ylim=(0, 1))
        axes.legend(loc="upper left", frameon=False)
        figure.savefig(path, metadata={"Date": None, "Creator": None})


def share_of(hits: Sequence[bool]) -> tuple[float, float, float]:
    """Share with its 95 % interval.

    Source: Wilson, Journal of the American Statistical Association 22 (1927), from memory.
    """
    count, z = len(hits), 1.96
    p = float(np.mean(hits))
    middle = (p + z * z / (2 * count)) / (1 + z * z / count)
    half = z * math.sqrt(p * (1 - p) / count + z * z / (4 * count * count)) / (1 + z * z / count)
    return p, middle - half, middle + half


def _first_two(places: Sequence[int], name: str) -> dict[str, Any]:
    return {f"{name}_first": share_of([p == 0 for p in places]),
            f"{name}_two": share_of([p <= 1 for p in places])}  # fmt: skip


def _single(cases: list[Any]) -> dict[str, Any]:
    by_fault: dict[str, list[int]] = {}
    for fault, (place, _), _, _ in cases:
        by_fault.setdefault(fault, []).append(place)
    return {
        "single": len(cases),
        **_first_two([best[0] for _, best, _, _ in cases], "best"),
        **_first_two([best[1] for _, best, _, _ in cases], "best_job"),
        **_first_two([alone[0] for _, _, alone, _ in cases], "alone"),
        **_first_two([whole for _, _, _, whole in cases], "whole"),
        "by_fault": {f: (len(p), share_of([k == 0 for k in p]), share_of([k <= 1 for k in p]))
                     for f, p in by_fault.items()},
    }  # fmt: skip


def _ending(cases: list[Any]) -> dict[str, Any]:
    return {
        "ending": len(cases), "ending_checks": float(np.mean([n for _, _, n in cases])),
        **_first_two([place for place, _, _ in cases], "ending"),
        **_first_two([job for _, job, _ in cases], "ending_job"),
    }  # fmt: skip


def _prior(cases: list[Any]) -> dict[str, Any]:
    flat = [pair for case in cases for pair in case]
    base = float(np.mean([t for _, t in flat]))
    return {"prior": len(cases), "reliability": reliability(flat),
            "brier": float(np.mean([(p - t) ** 2 for p, t in flat])),
            "brier_of_base_rates": base * (1 - base)}  # fmt: skip


def _pairs(cases: list[Any]) -> dict[str, Any]:
    return {"pairs": len(cases), "pairs_first_two": share_of([a for a, _ in cases]),
            "pairs_over_half": share_of([b for _, b in cases])}  # fmt: skip


def _sound(cases: list[Any]) -> dict[str, Any]:
    return {"sound": len(cases), "alarms": share_of([p >= LIKELY for p, _ in cases])}


def _timed(cases: list[Any]) -> dict[str, Any]:
    rng, spent = np.random.default_rng(0), np.array(cases)
    return {
        "policy": len(spent), "advice": between(spent[:, 0].tolist(), rng),
        "textbook": between(spent[:, 1].tolist(), rng),
        "saved": between((spent[:, 1] - spent[:, 0]).tolist(), rng),
        "checking": [float(spent[:, 2].mean()), float(spent[:, 3].mean())],
    }  # fmt: skip


def _ranks(cases: list[Any]) -> dict[str, Any]:
    ranks = np.array(cases)
    return {"sbc_cases": len(ranks),
            "sbc": {c.name: rank_counts(ranks[:, k].tolist())
                    for k, c in enumerate(LEAKS)}}  # fmt: skip


FIGURES: dict[str, Callable[[list[Any]], dict[str, Any]]] = {
    "single_case": _single, "ending_case": _ending, "prior_case": _prior, "pair_case": _pairs,
    "sound_case": _sound, "policy_case": _timed, "sbc_case": _ranks,
}  # fmt: skip


def _percent(share: Any) -> str:
    p, low, high = share
    return f"{100 * p:.1f} % ({100 * low:.1f} to {100 * high:.1f})"


def _span(values: Any) -> str:
    return f"{values[0]:.1f} ({values[1]:.1f} to {values[2]:.1f})"


def _rows(f: dict[str, Any]) -> list[tuple[str, str, str]]:
    """Rows of the table for the parts that are there."""
    rows: list[tuple[str, str, str]] = []
    if "single" in f:
        rows += [
            (f"one moderate fault ranks first, best three checks, {f['single']} pumps",
             _percent(f["best_first"]), "90 %"),
            ("… within the first two", _percent(f["best_two"]), "97 %"),
            ("… its job ranks first", _percent(f["best_job_first"]), ""),
            ("… the fault first, best three single looks", _percent(f["alone_first"]), ""),
            ("… within the first two", _percent(f["alone_two"]), ""),
            ("… the fault first, every running check done", _percent(f["whole_first"]), ""),
            ("… within the first two", _percent(f["whole_two"]), ""),
        ]  # fmt: skip
    if "ending" in f:
        rows += [
            (f"… when advice stops asking, {f['ending_checks']:.1f} checks, {f['ending']} pumps",
             _percent(f["ending_first"]), ""),
            ("… within the first two", _percent(f["ending_two"]), ""),
            ("… its job ranks first", _percent(f["ending_job_first"]), ""),
        ]  # fmt: skip
    if "pairs" in f:
        rows += [
            (f"two faults are the first two named, {f['pairs']} pumps, every running check",
             _percent(f["pairs_first_two"]), "75 %"),
            ("… both given a chance over one half", _percent(f["pairs_over_half"]), ""),
        ]  # fmt: skip
    if "sound" in f:
        rows.append((f"sound pumps said to have a likely fault, {f['sound']} pumps",
                     _percent(f["alarms"]), "under 5 %"))  # fmt: skip
    if "policy" in f:
        checking = "; checks alone {:.1f} against {:.1f}".format(*f["checking"])
        rows += [
            (f"minutes to fixed by the advice, {f['policy']} pumps", _span(f["advice"]), ""),
            ("… by the textbook round", _span(f["textbook"]), ""),
            ("… saved", _span(f["saved"]) + checking, "over 0"),
        ]  # fmt: skip
    if "prior" in f:
        rows.append((f"Brier score, {f['prior']} pumps from the prior, 12 faults each",
                     f"{f['brier']:.4f} (base rates alone: {f['brier_of_base_rates']:.4f})",
                     ""))  # fmt: skip
    for name, (_, p) in f.get("sbc", {}).items():
        rows.append((f"ranks of the {name.lower()} leak, {f['sbc_cases']} pumps: p of even counts",
                     f"{p:.2f}", "over 0.01"))  # fmt: skip
    return rows


def table(found: dict[str, Any]) -> str:
    """The figures as a Markdown table; shares and minutes with their 95 % interval."""
    single = [f"| {fault} | {count} | {_percent(a)} | {_percent(b)} |"
              for fault, (count, a, b) in found.get("by_fault", {}).items()]  # fmt: skip
    return "\n".join(
        ["| figure | reached | wanted |", "|---|---|---|",
         *(f"| {a} | {b} | {c} |" for a, b, c in _rows(found)), "",
         "One fault after the best three checks, by fault:", "",
         "| fault | pumps | first | first two |", "|---|---|---|---|", *single]
    )  # fmt: skip


def write(found: dict[str, Any]) -> None:
    """Put the figures into the document, between their marks, and draw the diagram."""
    page = DOCS / "diagnosis.md"
    text = page.read_text("utf-8")
    marks = r"(<!-- figures -->\n).*?(<!-- end of figures -->)"
    page.write_text(
        re.sub(marks, lambda m: m[1] + table(found) + "\n" + m[2], text, flags=re.DOTALL), "utf-8"
    )
    if "reliability" in found:
        draw(found["reliability"], DOCS / "reliability.svg")
