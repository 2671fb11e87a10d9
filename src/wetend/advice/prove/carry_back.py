"""Copies proof readings into the running checks when the pump failed its proof."""

from __future__ import annotations

from wetend.pump.measurements import ProofReadings
from wetend.pump.readings import CheckReadings
from wetend.units.message import Message


def as_checks(proof: ProofReadings, before: CheckReadings | None = None) -> CheckReadings:
    """What a proof has read, as running checks read it; nothing is made up that was not read.

    What the checks knew of how the pump was run stays (supply, temperature); what they read of its
    faults is left behind, for the pump has been opened since.

    Args:
        proof: the proof readings.
        before: the running checks of the same visit.
    """
    kept = before or CheckReadings()
    time = proof.stall_time
    return CheckReadings(
        up_times=(proof.up_time,) if proof.up_time else (),
        down_times=(proof.down_time,) if proof.down_time else (),
        stall_pressure=proof.stall_pressure,
        creep_up=_speed(proof.stall_creep_up, time),
        creep_down=_speed(proof.stall_creep_down, time),
        wet_cup=proof.wet_cup,
        bucket_volume=proof.bucket_volume,
        bucket_cycles=proof.bucket_cycles,
        supply_pressure=kept.supply_pressure,
        temperature=kept.temperature,
        tap_spread=kept.tap_spread,
        note=Message("Readings of the proof that failed."),
    )


def _speed(moved: float | None, time: float | None) -> float | None:
    return None if moved is None or not time else min(moved / time, 1.0)
