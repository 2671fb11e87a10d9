"""Events that bring pressure back, and the force of a loaded hose on the rod."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from wetend.advice.reasons import Caution, Figure, Working
from wetend.advice.safety.hazards import caution
from wetend.pump.description import Pump
from wetend.pump.measurements import ProofReadings
from wetend.pump.readings import CheckReadings
from wetend.units.fields import fields_of
from wetend.units.message import Message, joined
from wetend.units.quantity import M2, N, Pa, unit_of
from wetend.units.show import show

Read = CheckReadings | ProofReadings

_STILL: Final = frozenset({
    "wet_cup", "filter_looked", "outside_looked", "solvent_test", "could_not", "temperature",
    "tap_spread", "note", "solvent_lost", "solvent_head", "solvent_time", "bucket_spread",
    "gauge_spread", "instruments", "guards", "whip_checks", "hose_age", "hose_cover", "bonding",
})  # fmt: skip
"""Readings taken without pressure, or that say nothing of it. Every other one means pressure."""

_WORDS: Final = (
    (Message("strokes timed"), ("up_times", "down_times", "up_time", "down_time", "cycle_rate")),
    (Message("gauge read"), ("spray_pressure", "stall_pressure", "hold_start", "hold_end")),
    (Message("creep read"), ("creep_up", "creep_down", "stall_creep_up", "stall_creep_down")),
    (Message("bucket filled"), ("bucket_volume", "bucket_cycles", "bucket_time")),
    (Message("supply read"), ("supply_pressure",)),
)


def pressure_read(before: Read | None, now: Read) -> str:
    """Which readings of these mean that the pump was under pressure, in words; ``""`` if none do.

    An entry that names some fields says that they were read; of one that names all, what was read
    before and is only kept again means nothing. Nor does a reading withdrawn.

    Args:
        before: the readings of the same kind that stood until now.
        now: the readings entered.
    """
    blank, named = type(now)(), now.model_fields_set
    whole = len(named) == len(type(now).model_fields)
    read = [
        f for f in fields_of(type(now))
        if f.name in named - _STILL
        and getattr(now, f.name) != getattr(blank, f.name)
        and not (whole and getattr(now, f.name) == getattr(before, f.name, None))
    ]  # fmt: skip
    said = {f.name: word for word, names in _WORDS for f in read if f.name in names}
    return joined(", ", dict.fromkeys(said.get(f.name, f.label.lower()) for f in read))


def stall_described(pump: Pump) -> Pa:
    """Outlet pressure at stall, at the supply that the drive is rated for."""
    return pump.drive.supply_rated * pump.drive.ratio


def highest_pressure(pump: Pump, sprayed: Iterable[Pa], stalled: Iterable[Pa]) -> tuple[Pa, bool]:
    """The most that the hose may hold, and whether a gauge has read it.

    A gauge read while spraying tells less than the hose holds once the gun is shut, so without one
    at stall the drive's own stall pressure counts where it is higher.
    """
    at_stall, spraying = max(stalled, default=0.0), max(sprayed, default=0.0)
    if at_stall:
        return max(at_stall, spraying), True
    described = stall_described(pump)
    return max(described, spraying), spraying > described


def rod_push(pump: Pump, pressure: Pa) -> N:
    """Force of the hose's liquid on the rod, upwards, where the drive no longer holds it.

    .. math:: F = p A_r

    With the drive vented the pressure above the piston comes below it too, by the open piston valve
    or past worn packings; then what is left over acts on the rod's own area. A balance of forces:
    the packings' friction, and a sound piston valve while it is shut, hold against it.
    """
    return pressure * pump.rod_area


def loaded_hose(pump: Pump, pressure: Pa, *, read: bool) -> tuple[Caution, Working]:
    """The caution at the make-safe list with this pump's own force, and its working."""
    force = rod_push(pump, pressure)
    newtons = Message("{force:.0f} N", force=round(force, -2))
    whence = (
        Message("the highest reading of this visit")
        if read
        else Message("the drive's stall pressure")
    )
    text = Message(
        "With the drive off and the hose loaded, {pressure} ({whence}) pushes the "
        "rod up with {newtons}, the weight of {force:.1f} t. No hand between rod and "
        "frame until the hose is empty.",
        pressure=show(pressure, unit_of(Pa)),
        whence=whence,
        newtons=newtons,
        force=force / 9810,
    )
    working = Working(
        title=Message("push of a loaded hose on the rod"),
        formula="F = p A_r",
        given=(
            Figure(
                Message("pressure in the hose, {whence}", whence=whence), pressure, unit_of(Pa), "p"
            ),
            Figure(Message("area of the rod"), pump.rod_area, unit_of(M2), "A_r"),
        ),
        result=(Figure(Message("push upwards"), force, unit_of(N), "F"),),
        source="balance of forces on the rod",
        validity=Message(
            "drive vented, the same pressure on both sides of the piston; friction and a "
            "piston valve that is still shut hold against it, but nobody can count on "
            "them"
        ),
    )
    return caution("loaded-hose", text), working
