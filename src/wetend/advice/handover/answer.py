"""Result of the hand-over stage: the set-up sheet."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.reasons import Caution, Verdict, Working
from wetend.units.quantity import CycleRate, K, M3PerS, Pa


@dataclass(frozen=True)
class Setting:
    """One line of the set-up sheet that has a verdict."""

    title: str
    verdict: Verdict
    why: str


@dataclass(frozen=True)
class SetUp:
    """The set-up sheet."""

    nozzle_pressure: Pa
    pump_pressure: Pa
    supply_pressure: Pa
    flow: M3PerS
    hose_loss: Pa
    lift_loss: Pa
    cycle_rate: CycleRate
    weakest_rating: Pa
    weakest_part: str
    suction_margin: Pa
    """Pressure left above the vapour pressure at the foot valve; negative starves."""
    stall_pressure: Pa
    """At the supply pressure advised, frictionless, the harder way: the most there can be."""
    settings: tuple[Setting, ...]
    advice: tuple[str, ...]
    workings: tuple[Working, ...]
    cautions: tuple[Caution, ...]
    asked_pressure: Pa = 0.0
    """At the nozzle, as asked for; ``nozzle_pressure`` is lower where that can't be had."""
    filter_loss: Pa = 0.0
    temperature: K = 293.15
    """Of the coating, as calculated with."""
