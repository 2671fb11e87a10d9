"""Slips of one reading: are they named, asked for again, or harmless?

    nice -n 19 python benchmarks/reading_slips.py [--cases 200] [--particles 4000]

A pump with one fault of moderate size, or none, is read by every quick check with a person's errors
(steady model); then one reading goes wrong as people get them wrong. Named: the answer names it, or
asks for it again. Asked again: the readings are said not to fit together. Harmless: the likely
faults are those without the slip. Anything else is missed.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter, defaultdict
from collections.abc import Callable
from typing import Any

import numpy as np
from calibration_figures import share_of
from pydantic import ValidationError

from wetend.advice.diagnosis.diagnose import Diagnosis, diagnose
from wetend.advice.diagnosis.observables import play
from wetend.advice.diagnosis.prior import LUMP, NUISANCES, SIZES, Setting
from wetend.advice.diagnosis.reading_off import read_off
from wetend.advice.diagnosis.words import LIKELY
from wetend.advice.faults.tables import CAUSES
from wetend.pump.description import Pump
from wetend.pump.readings import CheckKey, CheckReadings
from wetend.pump.toml import DEMO_PUMPS, demo_coatings, demo_pump

MISSED = "missed"
READ: tuple[CheckKey, ...] = ("look", "watch", "creep", "supply")
Fields = dict[str, Any]


def _times(factor: float, *names: str) -> Callable[[Fields, np.random.Generator], bool]:
    def slip(fields: Fields, _rng: np.random.Generator) -> bool:
        for name in names:
            fields[name] *= factor
        return any(fields[name] for name in names)

    return slip


def _exchanged(one: str, other: str) -> Callable[[Fields, np.random.Generator], bool]:
    def slip(fields: Fields, _rng: np.random.Generator) -> bool:
        fields[one], fields[other] = fields[other], fields[one]
        return bool(fields[one] != fields[other])

    return slip


def _one_time(name: str, factor: float) -> Callable[[Fields, np.random.Generator], bool]:
    def slip(fields: Fields, rng: np.random.Generator) -> bool:
        times = list(fields[name])
        times[int(rng.integers(len(times)))] *= factor
        fields[name] = tuple(times)
        return True

    return slip


def _every_time(factor: float) -> Callable[[Fields, np.random.Generator], bool]:
    def slip(fields: Fields, _rng: np.random.Generator) -> bool:
        for name in ("up_times", "down_times"):
            fields[name] = tuple(t * factor for t in fields[name])
        return True

    return slip


def _turned(name: str, no: str, yes: str) -> Callable[[Fields, np.random.Generator], bool]:
    def slip(fields: Fields, _rng: np.random.Generator) -> bool:
        fields[name] = yes if fields[name] == no else no
        return True

    return slip


def _nearly_dead(name: str) -> Callable[[Fields, np.random.Generator], bool]:
    def slip(fields: Fields, rng: np.random.Generator) -> bool:
        fields[name] *= rng.uniform(0.1, 0.12)
        return True

    return slip


SLIPS: dict[str, tuple[Callable[[Fields, np.random.Generator], bool], tuple[str, ...]]] = {
    "gauge spraying, a tenth": (_times(0.1, "spray_pressure"), ("gauge",)),
    "gauge spraying, ten times": (_times(10.0, "spray_pressure"), ("gauge",)),
    "gauge spraying nearly dead": (_nearly_dead("spray_pressure"), ("gauge",)),
    "gauge at stall, a tenth": (_times(0.1, "stall_pressure"), ("gauge",)),
    "gauge at stall nearly dead": (_nearly_dead("stall_pressure"), ("gauge",)),
    "gauges exchanged": (_exchanged("spray_pressure", "stall_pressure"), ("gauge",)),
    "creeps exchanged": (_exchanged("creep_up", "creep_down"), ("creep",)),
    "creep up, ten times": (_times(10.0, "creep_up"), ("creep up",)),
    "creep down, a tenth": (_times(0.1, "creep_down"), ("creep down",)),
    "one up-stroke, ten times": (_one_time("up_times", 10.0), ("an up-stroke",)),
    "one down-stroke, a tenth": (_one_time("down_times", 0.1), ("a down-stroke",)),
    "one tap missed": (_one_time("up_times", 2.0), ("an up-stroke",)),
    "every time, ten times": (_every_time(10.0), ("cycles a minute", "stroke")),
    "strokes exchanged": (_exchanged("up_times", "down_times"), ("stroke",)),
    "drop, ten times": (_times(10.0, "drop"), ("quick drop",)),
    "drop, a tenth": (_times(0.1, "drop"), ("quick drop",)),
    "pause, ten times": (_times(10.0, "turn_pause"), ("pause",)),
    "supply, a tenth": (_times(0.1, "supply_pressure"), ("supply",)),
    "supply, ten times": (_times(10.0, "supply_pressure"), ("supply",)),
    "wet cup, the other word": (_turned("wet_cup", "clean", "coating in it"), ("wet cup",)),
}
"""What goes wrong, and by which words the answer may name it."""


def _likely(answer: Diagnosis) -> set[str]:
    return {f.fault.id for f in answer.findings if f.probability >= LIKELY}


def _pump(rng: np.random.Generator, number: int) -> tuple[Pump, Setting, Fields]:
    pump, coating = demo_pump(DEMO_PUMPS[number % 2]), demo_coatings()[number // 2 % 4]
    setting = Setting(pump, coating, None, coating.temperature)
    z, present = 0.5 * rng.standard_normal((1, SIZES)), np.zeros((1, len(CAUSES)), dtype=bool)
    z[0, LUMP] = 2.0
    which = int(rng.integers(len(CAUSES) + 4))
    if which < len(CAUSES):
        present[0, which] = True
        z[0, NUISANCES + which] = rng.uniform(-0.5, 1.0)
    shown = {key: float(values[0]) for key, values in play(setting, z, present).reads.items()}
    return pump, setting, {"temperature": coating.temperature, **read_off(READ, shown, rng)}


def case(number: int, particles: int = 4000) -> tuple[str, str]:
    """The slip, and what came of it."""
    rng, name = np.random.default_rng([8, number]), list(SLIPS)[number % len(SLIPS)]
    slip, words = SLIPS[name]
    pump, setting, fields = _pump(rng, number // len(SLIPS) + number)
    right = diagnose(pump, setting.coating, CheckReadings(**fields), particles=particles)
    if not slip(fields, rng):
        return name, "harmless"  # nothing to get wrong
    try:
        read = CheckReadings(**fields)
    except ValidationError:  # the form says which field, and out of which range
        return name, "named"
    wrong = diagnose(pump, setting.coating, read, particles=particles)
    told = " ".join((*wrong.remarks, wrong.why if "Read again" in wrong.why else "")).lower()
    if any(word in told for word in words):
        return name, "named"
    if not wrong.explained:
        return name, "asked again"
    return name, "harmless" if _likely(wrong) == _likely(right) else MISSED


def main() -> None:
    """Count, and print by slip."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--cases", type=int, default=200)
    parser.add_argument("--particles", type=int, default=4000)
    asked = parser.parse_args()
    counted: dict[str, Counter[str]] = defaultdict(Counter)
    for number in range(asked.cases):
        name, outcome = case(number, asked.particles)
        counted[name][outcome] += 1
        sys.stderr.write(f"\r{number + 1}/{asked.cases}")
    sys.stderr.write("\n")
    for name, row in counted.items():
        print(f"{name:30s} {dict(row)}")
    well = [o != MISSED for row in counted.values() for o in row.elements()]
    p, low, high = share_of(well)
    print(f"named, asked again or harmless: {p:.1%} ({low:.1%} to {high:.1%}) of {len(well)}")


if __name__ == "__main__":
    main()
