"""Is the fault found on pumps that the diagnosis never met, by one who does what the page says?

    nice -n 19 python benchmarks/independent_player.py [--cases 150] [--first 0] [--keep FILE]

Pumps of :mod:`unmet_pumps`, simulated by :mod:`independent_pump` and not by the package's physics,
each a little off its description (dimensions, friction, viscosity, hose, gauge; one in ten with
another coating in it than was said). A technician does the advised check, enters what was read with
a person's errors, and stops where the advice stops. Printed: how often the fault is named first and
within two, by size and by fault; false alarms; how often what was given a chance was there; how
often the size lay within its interval; checks. With 95 % binomial intervals (Wilson).
"""

from __future__ import annotations

import argparse
import json
import math
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any, ClassVar

import numpy as np
from calibration_figures import share_of
from independent_pump import IndependentPump, Shown, Truth
from unmet_pumps import COATINGS, PUMPS

from wetend.advice.diagnosis.checks import CHECKS
from wetend.advice.diagnosis.diagnose import Diagnosis, diagnose
from wetend.advice.diagnosis.words import LIKELY
from wetend.advice.faults.tables import FAULT, FAULTS
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckKey, CheckReadings

KINDS = ("sound", *(fault.id for fault in FAULTS))
SIZES = ("small", "moderate", "large")
_RANGES: dict[str, tuple[float, float, float, float]] = {
    "foot-valve": (0.03, 0.08, 0.2, 0.5), "piston-valve": (0.03, 0.08, 0.2, 0.5),
    "static-packings": (0.01, 0.03, 0.08, 0.2), "outside": (0.02, 0.05, 0.12, 0.3),
    "nozzle": (0.12, 0.25, 0.6, 1.5), "nozzle-blocked": (0.12, 0.25, 0.45, 0.7),
    "starved": (0.06, 0.12, 0.25, 0.5), "air": (0.06, 0.12, 0.25, 0.5),
    "foot-late": (0.06, 0.12, 0.25, 0.5), "filter": (0.08, 0.2, 0.45, 0.8),
    "drive-weak": (0.1, 0.15, 0.3, 0.5), "drive-slow": (0.15, 0.3, 0.6, 1.5),
}  # fmt: skip
"""Where small begins, moderate, large, and where large ends; see :class:`Truth`."""
MOST_CHECKS = 14
BANDS = (0.01, 0.05, 0.2, 0.5, 0.8, 0.95)
MINUTES = {check.key: check.minutes for check in CHECKS}


class Visit:
    """One pump with its hidden fault, and what a technician reads off it."""

    def __init__(self, number: int) -> None:
        self.rng = np.random.default_rng([77, number])
        rng = self.rng
        self.kind = KINDS[number % len(KINDS)]
        turn = number // len(KINDS)
        self.band = SIZES[turn % 3]
        self.pump: Pump = PUMPS[int(rng.integers(len(PUMPS)))]
        self.coating: Coating = COATINGS[int(rng.integers(len(COATINGS)))]
        self.cause, self.lump = "", bool(rng.random() < 0.3)
        self.sound = self._truth()
        self.truth = self._with_fault()
        self.gauge_factor, self.gauge_off = rng.normal(1.0, 0.015), rng.normal(0.0, 2e5)
        self.shown = self._shown()

    def _truth(self) -> dict[str, Any]:
        rng = self.rng

        def about(spread: float) -> float:
            return float(math.exp(rng.normal(0.0, spread)))

        wrong = COATINGS[int(rng.integers(len(COATINGS)))] if rng.random() < 0.1 else None
        return {
            "bore": rng.normal(1.0, 0.002), "rod": rng.normal(1.0, 0.002),
            "stroke": rng.normal(1.0, 0.015), "force": rng.normal(0.98, 0.025),
            "supply": min(rng.normal(0.96, 0.025), 1.03), "droop": rng.uniform(1.4, 2.3),
            "friction": about(0.3), "free_speed": about(0.1), "viscosity": about(0.2),
            "nozzle": about(0.04), "filter": about(0.3), "hose": about(0.25),
            "laminar": rng.uniform(0.0, 1.0), "foot": 5e-4 * about(1.0),
            "piston": 8e-4 * about(1.0), "rod_seal": 1e-4 * about(1.0), "wrong_coating": wrong,
        }  # fmt: skip

    def _with_fault(self) -> dict[str, Any]:
        rng, kind, truth = self.rng, self.kind, dict(self.sound)
        self.size = 0.0
        if kind == "sound":
            return truth
        low, *_ = ends = _RANGES[kind]
        k = SIZES.index(self.band)
        low, high = ends[k], ends[k + 1]
        size = self.size = math.exp(rng.uniform(math.log(low), math.log(high)))
        by_name = {"foot-valve": "foot", "piston-valve": "piston", "static-packings": "rod_seal",
                   "outside": "outside", "drive-slow": "pause"}  # fmt: skip
        if kind in by_name:
            truth[by_name[kind]] = size
            if kind == "piston-valve":
                self.cause = str(rng.choice(["seat", "packings", "bore"]))
        elif kind in ("nozzle", "nozzle-blocked"):
            truth["nozzle"] *= 1.0 + size if kind == "nozzle" else 1.0 - size
        elif kind == "filter":
            self.cause = str(rng.choice(["filter_blocked", "line_blocked"]))
            truth[self.cause] = size
        elif kind == "drive-weak":
            self.cause = str(rng.choice(["supply", "force"]))
            truth[self.cause] = (1.0 - size) * (1.0 if self.cause == "force" else 0.98)
        else:
            truth["empty"] = size
            left = {"starved": (0.0, 0.35), "air": (0.8, 1.1), "foot-late": (0.1, 1.0)}[kind]
            truth["slow_empty"] = size * rng.uniform(*left)
        return truth

    def _shown(self) -> Shown:
        sound = IndependentPump(self.pump, self.coating, Truth(**self.sound))
        first = sound.shown()
        self.usual = first = sound.shown(first)
        return IndependentPump(self.pump, self.coating, Truth(**self.truth)).shown(first)

    def _lump_goes(self, check: str) -> bool:
        seat = self.kind == "foot-valve" or (self.kind, self.cause) == ("piston-valve", "seat")
        return self.lump and (seat if check == "wash" else self.kind == "nozzle-blocked")

    def _cleared(self) -> None:
        self.kind, self.truth, self.lump = "sound", dict(self.sound), False
        self.shown = self._shown()

    # readings
    def _gauge(self, value: float) -> float:
        read = value * self.gauge_factor + self.gauge_off + self.rng.normal(0.0, 2e5)
        return float(max(round(read / 2.5e5) * 2.5e5, 0.0))

    def _taps(self) -> dict[str, Any]:
        true = np.tile([self.shown.up_time, self.shown.down_time], 8)
        turns = np.concatenate([[0.0], np.cumsum(true)]) + self.rng.normal(0.0, 0.08, 17)
        if self.rng.random() < 0.1:  # a tap missed
            turns = np.delete(turns, slice(6, 8))
        times = [float(max(round(t, 2), 0.05)) for t in np.diff(turns)]
        return {"up_times": tuple(times[::2]), "down_times": tuple(times[1::2])}

    def _creep(self, value: float) -> float:
        value = value * math.exp(self.rng.normal(0.0, 0.2))
        seconds = min(60.0, 0.04 / max(value, 1e-9))
        read = value * seconds + self.rng.normal(0.0, 1e-3)
        return float(min(max(round(read / 1e-3) * 1e-3, 0.0) / seconds, 1.0))

    def _eye(self, value: float) -> float:
        return float(min(max(round(value + self.rng.normal(0.0, 0.025), 2), 0.0), 1.0))

    def read(self, check: str) -> dict[str, Any]:
        """What a check reads."""
        found: dict[str, Any] = {}
        for part in {"look": ("wet-cup", "outside"), "slow": ("slow-drop", "air"),
                     "watch": ("strokes", "gauge-spray", "early-drop", "changeover"),
                     }.get(check, (check,)):  # fmt: skip
            found |= self._one(part)
        return found

    def _one(self, check: str) -> dict[str, Any]:
        if check in self._FIGURES:
            return self._FIGURES[check](self)
        if check in ("wash", "nozzle-turn"):
            return self._try(check)
        name, no, yes = _SIGHTS[check]
        return {name: yes if self.rng.random() < self._seen()[check] else no}

    def _drops(self) -> dict[str, Any]:
        return {"drop": self._eye(self.shown.drop)}

    def _slowly(self) -> dict[str, Any]:
        return {"slow_drop": self._eye(self.shown.slow_drop)}

    def _changeover(self) -> dict[str, Any]:
        stood = max(round(self.shown.pause + self.rng.normal(0.0, 0.12), 1), 0.0)
        empty = self.truth.get("empty", 0.0)
        hard = 0.3 * empty if self.kind == "air" else empty
        knock = self.rng.random() < _rising(0.06, (hard / 0.12) ** 2, 0.8)
        return {"turn_pause": stood, "changeover": "knocks" if knock else "even"}

    def _sprayed(self) -> dict[str, Any]:
        return {"spray_pressure": self._gauge(self.shown.gauge)}

    def _stall(self) -> dict[str, Any]:
        up = self.rng.random() < 0.5
        return {"stall_pressure": self._gauge(self.shown.stall_up if up else self.shown.stall_down)}

    def _creeps(self) -> dict[str, Any]:
        return {
            "creep_up": self._creep(self.shown.creep_up),
            "creep_down": self._creep(self.shown.creep_down),
            "stall_pressure": self._gauge(self.shown.stall_down),
        }

    def _supply(self) -> dict[str, Any]:
        step = 1e4 if self.pump.drive.supply_rated < 2e6 else 2e5
        read = self.shown.supply * self.rng.normal(1.0, 0.02)
        return {"supply_pressure": float(max(round(read / step) * step, 0.0))}

    def _cycles(self) -> dict[str, Any]:
        counted = 60.0 / self.shown.cycle + self.rng.normal(0.0, 0.4)
        return {"cycle_rate": max(round(2 * counted) / 2, 0.5) / 60.0}

    def _bucket(self) -> dict[str, Any]:
        lost = 1.0 + 0.7 * (self.truth.get("outside", 0.0) + self.truth["rod_seal"])
        time_, drawn = 20 * self.shown.cycle, self.shown.flow * lost * self.rng.normal(1.0, 0.035)
        return {
            "bucket_cycles": 20.0,
            "bucket_time": max(time_, 0.5),
            "bucket_volume": max(time_ * drawn, 1e-6),
        }

    _FIGURES: ClassVar[dict[str, Callable[[Visit], dict[str, Any]]]] = {
        "strokes": _taps, "gauge-spray": _sprayed, "early-drop": _drops, "slow-drop": _slowly,
        "changeover": _changeover, "gauge-stall": _stall, "creep": _creeps, "supply": _supply,
        "cycles": _cycles, "bucket": _bucket,
    }  # fmt: skip

    def _seen(self) -> dict[str, float]:
        """Chances of what is seen."""
        truth, empty = self.truth, self.truth.get("empty", 0.0)
        air = empty if self.kind == "air" else 0.0
        cured = empty if self.kind in ("starved", "air") else 0.0
        off = abs(math.log(truth["nozzle"]))
        return {
            "wet-cup": _rising(0.03, truth["rod_seal"] / 0.008),
            "outside": _rising(0.03, truth.get("outside", 0.0) / 0.015),
            "suction-lifted": _rising(0.06, truth["foot"] / 0.07),
            "solvent": _rising(0.05, truth["foot"] / 0.03),
            "air": _rising(0.07, air / 0.08),
            "filter": _rising(0.1, truth.get("filter_blocked", 0.0) / 0.2),
            "nozzle": _rising(0.04, (off / 0.2) ** 2),
            "fresh-suction": _rising(0.04, (cured / 0.08) ** 2),
            "creep-place": _rising(0.1, 2.0 * (self.cause == "bore")),
        }

    def _try(self, check: str) -> dict[str, Any]:
        goes = self._lump_goes(check)
        better = bool(self.rng.random() < (0.92 if goes else 0.04))
        if goes and better:
            self._cleared()
        name = {"wash": "wash", "nozzle-turn": "nozzle_turned"}[check]
        return {name: "better" if better else "no change"}


_SIGHTS: dict[str, tuple[str, str, str]] = {
    "wet-cup": ("wet_cup", "clean", "coating in it"),
    "outside": ("outside_looked", "dry", "wet"),
    "suction-lifted": ("suction_lifted", "holds", "runs back"),
    "solvent": ("solvent_test", "holds", "weeps"),
    "air": ("air_seen", "no", "yes"),
    "filter": ("filter_looked", "clean", "blocked"),
    "nozzle": ("nozzle_changed", "no change", "better"),
    "fresh-suction": ("fresh_suction", "no change", "better"),
    "creep-place": ("creep_place", "the same everywhere", "differs along the stroke"),
}


def _rising(least: float, amount: float, most: float = 0.94) -> float:
    """Chance to see something, by how much of it there is."""
    return least + (most - least) * (1.0 - math.exp(-amount))


def _told(visit: Visit, fields: dict[str, Any]) -> Diagnosis:
    return diagnose(visit.pump, visit.coating, CheckReadings.model_validate(fields))


def play(number: int) -> dict[str, Any]:
    """One visit from the first check until the advice stops."""
    visit = Visit(number)
    kind, start = visit.kind, time.perf_counter()
    done: list[str] = ["watch"]
    fields: dict[str, Any] = {"temperature": visit.coating.temperature, **visit.read("watch")}
    answer, repeated = _told(visit, fields), False
    while len(done) < MOST_CHECKS:
        if answer.best is not None and (answer.best.key not in done):
            check: CheckKey = answer.best.key  # type: ignore[assignment]
            fields |= visit.read(check)
            done.append(check)
        elif not answer.explained and not repeated:  # reads again what does not fit
            repeated = True
            for check in [c for c in done if c not in ("wash", "nozzle-turn")]:
                fields |= visit.read(check)
        else:
            break
        answer = _told(visit, fields)
    order = [f.fault.id for f in answer.findings]
    chances = {f.fault.id: float(f.probability) for f in answer.findings}
    found: dict[str, Any] = {
        "number": number, "kind": kind, "left": visit.kind, "band": visit.band,
        "size": visit.size, "pump": visit.pump.key, "coating": visit.coating.key,
        "wrong": visit.sound["wrong_coating"] is not None, "cause": visit.cause, "checks": done,
        "minutes": sum(MINUTES[c] for c in done), "chances": chances,  # type: ignore[index]
        "explained": answer.explained, "leave": answer.leave_wet_end,
        "place": order.index(visit.kind) if visit.kind != "sound" else -1,
        "seconds": time.perf_counter() - start, "open": str(answer.open_first)[:90],
    }  # fmt: skip
    if visit.kind != "sound":
        size = next(f.size for f in answer.findings if f.fault.id == visit.kind)
        if size is not None:
            found |= {"true_size": _true_size(visit), "low": size.interval.low,
                      "high": size.interval.high}  # fmt: skip
    return found


def _true_size(visit: Visit) -> float:
    truth, kind = visit.truth, visit.kind
    leaks = {"foot-valve": "foot", "piston-valve": "piston", "static-packings": "rod_seal",
             "outside": "outside"}  # fmt: skip
    if kind in leaks:
        return visit.shown.leaks[leaks[kind]]
    return {
        "nozzle": truth["nozzle"] - 1.0, "nozzle-blocked": 1.0 - truth["nozzle"],
        "filter": truth.get("filter_blocked", 0.0) + truth.get("line_blocked", 0.0),
        "drive-weak": 1.0 - truth["supply"] * truth["force"], "drive-slow": truth.get("pause", 0.0),
    }.get(kind, truth.get("empty", 0.0))  # fmt: skip


def _share(hits: Iterable[bool]) -> str:
    held = list(hits)
    if not held:
        return "none"
    p, low, high = share_of(held)
    return f"{p:5.0%} ({max(low, 0):.0%} to {high:.0%}) of {len(held)}"


def report(cases: Sequence[dict[str, Any]]) -> str:
    """The figures as text."""
    there = [c for c in cases if c["left"] != "sound"]
    both = f"{_share(c['place'] == 0 for c in there)}; {_share(c['place'] <= 1 for c in there)}"
    rows = ["named first / within two, where a fault is left:", f"  all: {both}"]
    for name in ("band", "kind", "pump", "wrong"):
        groups: dict[str, list[dict[str, Any]]] = defaultdict(list)
        for c in there:
            groups[str(c[name])].append(c)
        order = [s for s in SIZES if s in groups] if name == "band" else sorted(groups)
        rows += [f"  {name} {key}: {_share(c['place'] == 0 for c in groups[key])}; "
                 f"{_share(c['place'] <= 1 for c in groups[key])}" for key in order]  # fmt: skip
    sound = [c for c in cases if c["left"] == "sound"]
    alarms = _share(max(c["chances"].values()) >= LIKELY for c in sound)
    sure = _share(any(p >= 0.9 for f, p in c["chances"].items() if f != c["left"]) for c in cases)
    inside = [c for c in there if FAULT[c["left"]].inside]
    rows += [
        f"sound or cleared, with a likely fault named: {alarms}",
        f"a fault that is not there is given 90 % or more: {sure}",
        f"wet end left alone, its fault inside: {_share(bool(c['leave']) for c in inside)}",
    ]
    rows.append("not explained: " + _share(not c["explained"] for c in cases))
    flat = [(p, f == c["left"]) for c in cases for f, p in c["chances"].items()]
    low = 0.0
    for high in (*BANDS, 1.01):
        own = [(p, t) for p, t in flat if low <= p < high]
        if own:
            rows.append(f"chance {low:.0%} to {min(high, 1):.0%}, "
                        f"{np.mean([p for p, _ in own]):.1%} in the mean: there "
                        + _share(t for _, t in own))  # fmt: skip
        low = high
    sized = [c for c in there if "low" in c]
    leaky = ("foot-valve", "piston-valve", "static-packings", "outside")
    for name, some in (("leak", [c for c in sized if c["left"] in leaky]),
                       ("other", [c for c in sized if c["left"] not in leaky])):  # fmt: skip
        for only, group in (("", some), (", named first", [c for c in some if c["place"] == 0])):
            ratio = [math.log(c["high"] / max(c["low"], 1e-3 * c["high"])) for c in group]
            wide = math.exp(float(np.median(ratio))) if ratio else 0.0
            rows.append(f"{name} sizes within their 90 %{only}: "
                        f"{_share(c['low'] <= c['true_size'] <= c['high'] for c in group)}, "
                        f"ends {wide:.1f} apart")  # fmt: skip
    rows.append(f"checks {np.mean([len(c['checks']) for c in cases]):.1f}, "
                f"minutes {np.mean([c['minutes'] for c in cases]):.1f}, "
                f"seconds a visit {np.mean([c['seconds'] for c in cases]):.1f}")  # fmt: skip
    brier = np.mean([(p - t) ** 2 for p, t in flat])
    rows.append(f"Brier score {brier:.4f}")
    return "\n".join(rows)


def main() -> None:
    """Play, keep what came of each, print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--cases", type=int, default=156)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--keep", type=Path, help="a file for what came of each, a line a visit")
    parser.add_argument("--from-file", type=Path, help="only report what was kept")
    asked = parser.parse_args()
    if asked.from_file:
        lines = asked.from_file.read_text("utf-8").splitlines()
        print(report([json.loads(line) for line in lines]))
        return
    cases = []
    for done, number in enumerate(range(asked.first, asked.first + asked.cases), 1):
        cases.append(play(number))
        sys.stderr.write(f"\r{done}/{asked.cases}")
        if asked.keep:
            with asked.keep.open("a", encoding="utf-8") as file:
                file.write(json.dumps(cases[-1]) + "\n")
    sys.stderr.write("\n")
    print(report(cases))


if __name__ == "__main__":
    main()
