"""What a person reads off a pump whose true state is known: figures with their errors, sights.

For practice and for trying the diagnosis: the errors are those of thumbs, needles and rules, not
those the diagnosis allows for. Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any, Literal

import numpy as np

from wetend.advice.diagnosis.evidence import SIGHTS
from wetend.advice.faults.record import Key
from wetend.pump.readings import CheckKey

Shown = Mapping[Key, float]
"""What the pump truly shows: SI figures, and for what is seen or not the chance to see it."""

TAP, STROKES = 0.1, 8
NEEDLE, DIVISION = 4e5, 2e5
_RULE = 1e-3
_MEASURE = 0.03
EYE = 0.02
"""Share of the stroke to which a drop is seen against a rule, over some strokes or on a film."""


def _strokes(shown: Shown, rng: np.random.Generator) -> dict[str, Any]:
    """Every turn tapped in a row, up and down in turn."""
    true = np.tile([shown["up_time"], shown["down_time"]], STROKES)
    turns = np.concatenate([[0.0], np.cumsum(true)]) + rng.normal(0.0, TAP, 2 * STROKES + 1)
    times = [float(t) for t in np.clip(np.round(np.diff(turns), 2), 0.05, 3600.0)]
    return {"up_times": tuple(times[::2]), "down_times": tuple(times[1::2])}


def _gauge(value: float, rng: np.random.Generator) -> float:
    read = round((value + rng.normal(0.0, NEEDLE)) / DIVISION) * DIVISION
    return float(min(max(read, 0.0), 2e8))


def _supply(value: float, rng: np.random.Generator) -> float:
    return float(min(max(round(value * (1 + rng.normal(0.0, 0.02)) / 1e4) * 1e4, 0.0), 1e8))


def _creep(value: float, rng: np.random.Generator) -> float:
    """Rod travel in a minute by a rule, or in less where it goes far."""
    seconds = min(60.0, 0.04 / max(value, 1e-9))
    travel = max(round((value * seconds + rng.normal(0.0, _RULE)) / _RULE) * _RULE, 0.0)
    return float(min(travel / seconds, 1.0))


def _both_creeps(shown: Shown, rng: np.random.Generator) -> dict[str, Any]:
    return {"creep_up": _creep(shown["creep_up"], rng),
            "creep_down": _creep(shown["creep_down"], rng),
            "stall_pressure": _gauge(shown["stall_pressure"], rng)}  # fmt: skip


def _cycles(shown: Shown, rng: np.random.Generator) -> dict[str, Any]:
    counted = round(2.0 * (shown["cycle_rate"] * 60.0 + rng.normal(0.0, 0.4))) / 2.0
    return {"cycle_rate": float(min(max(counted, 0.5) / 60.0, 20.0))}


def _bucket(shown: Shown, rng: np.random.Generator) -> dict[str, Any]:
    cycles = 20.0
    volume = shown["cycle_volume"] * cycles * math.exp(rng.normal(0.0, _MEASURE))
    time = cycles / shown["cycle_rate"] + rng.normal(0.0, 0.3)
    return {"bucket_volume": float(min(max(volume, 1e-6), 1.0)), "bucket_cycles": cycles,
            "bucket_time": float(min(max(time, 0.5), 3600.0))}  # fmt: skip


def _by_rule(
    name: Literal["drop", "slow_drop"], shown: Shown, rng: np.random.Generator
) -> dict[str, Any]:
    """A drop against a rule beside the rod, as a share of the stroke."""
    return {name: min(max(round(shown[name] + rng.normal(0.0, EYE), 2), 0.0), 1.0)}


def _changeover(shown: Shown, rng: np.random.Generator) -> dict[str, Any]:
    pause = min(max(round(shown["turn_pause"] + rng.normal(0.0, TAP), 1), 0.0), 60.0)
    knocks = rng.random() < shown["knock"]
    return {"turn_pause": pause, "changeover": "knocks" if knocks else "even"}


def _watched(shown: Shown, rng: np.random.Generator) -> dict[str, Any]:
    return {
        **_strokes(shown, rng),
        "spray_pressure": _gauge(shown["spray_pressure"], rng),
        **_by_rule("drop", shown, rng),
        **_changeover(shown, rng),
    }


def _sight(key: Key) -> Callable[[Shown, np.random.Generator], dict[str, Any]]:
    name, no, yes = SIGHTS[key]
    return lambda shown, rng: {name: yes if rng.random() < shown[key] else no}


_WAYS: dict[CheckKey, Callable[[Shown, np.random.Generator], dict[str, Any]]] = {
    "strokes": _strokes,
    "creep": _both_creeps,
    "gauge-spray": lambda shown, rng: {"spray_pressure": _gauge(shown["spray_pressure"], rng)},
    "gauge-stall": lambda shown, rng: {"stall_pressure": _gauge(shown["stall_pressure"], rng)},
    "supply": lambda shown, rng: {"supply_pressure": _supply(shown["supply_pressure"], rng)},
    "cycles": _cycles,
    "bucket": _bucket,
    "changeover": _changeover,
    "watch": _watched,
    "early-drop": lambda shown, rng: _by_rule("drop", shown, rng),
    "slow": lambda shown, rng: {
        **_by_rule("slow_drop", shown, rng),
        **_sight("air_seen")(shown, rng),
    },
    "look": lambda shown, rng: {
        **_sight("wet_cup")(shown, rng),
        **_sight("outside_looked")(shown, rng),
    },
    "creep-place": _sight("creep_place"),
    "wet-cup": _sight("wet_cup"),
    "suction-lifted": _sight("suction_lifted"),
    "fresh-suction": _sight("fresh_suction"),
    "air": _sight("air_seen"),
    "filter": _sight("filter_looked"),
    "nozzle": _sight("nozzle_changed"),
    "outside": _sight("outside_looked"),
    "solvent": _sight("solvent_test"),
    "wash": _sight("wash"),
    "nozzle-turn": _sight("nozzle_turned"),
}


def read_off(checks: Iterable[CheckKey], shown: Shown, rng: np.random.Generator) -> dict[str, Any]:
    """The readings these checks give, as fields of ``CheckReadings``, errors and all."""
    found: dict[str, Any] = {}
    for check in checks:
        found |= _WAYS[check](shown, rng)
    return found
