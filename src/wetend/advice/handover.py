"""The set-up sheet for this coating, hose and nozzle, and when to come back."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.reasons import Caution, Interval, Verdict, Working
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import SetUpRequest
from wetend.units.quantity import M3, CycleRate, M3PerS, Pa


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
    """At the supply pressure advised."""
    repack_after: Interval | None
    """Volume to the next repack, m^3."""
    settings: tuple[Setting, ...]
    advice: tuple[str, ...]
    workings: tuple[Working, ...]
    cautions: tuple[Caution, ...]


def set_up(pump: Pump, coating: Coating, request: SetUpRequest) -> SetUp:
    """Pressure, flow, hose loss, cycles a minute, suction margin and the weakest rating.

    Raises:
        NoAnswer: this hose and coating can't deliver the pressure wanted; says what would.
    """
    raise NotImplementedError


def repack_volume(pump: Pump, coating: Coating, used: M3 | None) -> Interval:
    """Volume to the next repack from sliding distance, pressure and abrasiveness class.

    Common practice, no source: the class factors are ours and wide.
    """
    raise NotImplementedError
