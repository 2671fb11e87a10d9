"""The lowest pressure rating of everything under pressure: the weakest part governs."""

from __future__ import annotations

from wetend.pump.description import Pump
from wetend.units.message import Message
from wetend.units.quantity import Pa


def ratings(pump: Pump) -> tuple[tuple[Pa, str], ...]:
    """Every rating in the description with the part it belongs to, from the pump outwards."""
    hoses = [
        (
            hose.rated_pressure,
            Message("hose {number}", number=number) if len(pump.hose) > 1 else Message("hose"),
        )
        for number, hose in enumerate(pump.hose, 1)
    ]
    return (
        (pump.limits.outlet_pressure, Message("wet end")),
        (pump.filter.rated_pressure, Message("outlet filter")),
        *hoses,
        (pump.nozzle.rated_pressure, Message("nozzle and its holder")),
    )


def weakest(pump: Pump) -> tuple[Pa, str]:
    """Lowest rating and its part; the first from the pump outwards where several are equal."""
    return min(ratings(pump), key=lambda pair: pair[0])
