"""Injection through the skin: what to do, what to say. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from wetend.advice.ratings import weakest
from wetend.materials.solvents import solvents
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings
from wetend.units.kinds import System
from wetend.units.quantity import Pa, unit_of
from wetend.units.show import show

TITLE: Final = "Injection: go to hospital now"
LEAD: Final = (
    "A jet through the skin is a surgical emergency, however small the wound, and though it does "
    "not hurt yet."
)
STEPS: Final[tuple[tuple[str, str], ...]] = (
    ("Go now.", "Ring, or be driven. Don't wait for pain or swelling, don't drive yourself."),
    ("Say “high-pressure injection”.", "Ask for a surgeon. Say what, what pressure, when."),
    ("Take the data sheet.", "The coating's safety data sheet, or a photo of every label."),
    ("Keep still.", "The limb at rest and low. Rings off. Don't squeeze, cut or bind it."),
    ("No food, no drink.", "An operation is likely."),
)  # fmt: skip
"""What to do, the first thing first: a few words and what they mean."""
MAKE_SAFE: Final = (
    "Whoever stays: drive off, trigger lock on, nobody near the jet. Leave the pump as it is."
)
ON_PAPER: Final = (
    "Injection, however small: hospital at once, with the data sheet. What to do: the page "
    "Injection, or `wetend injection`."
)
"""Stands on every printed sheet."""


@dataclass(frozen=True)
class HospitalInfo:
    """What the surgeon needs to know, as far as a visit knows it."""

    liquids: str
    pressure: str


def hospital_info(
    pump: Pump, coating: Coating | None, readings: CheckReadings | None, system: System
) -> HospitalInfo:
    """What went in and at what pressure, from what a visit holds.

    Where no gauge was read it is the weakest rating: the pressure can have been no higher for long.
    """
    liquids = "Coating not recorded here: read the label"
    if coating is not None:
        thinner = solvents().rows.get(coating.solvent or "")
        held = (
            ("two-pack, base and hardener", coating.two_pack == "yes"),
            ("contains isocyanate", coating.isocyanate == "yes"),
            ("contains lead", coating.holds_lead == "yes"),
        )
        parts = (coating.name, *(words for words, yes in held if yes))
        liquids = ", ".join(parts) + (f"; thinner or flush: {thinner.title}" if thinner else "")
    read = [
        p for p in (readings.spray_pressure, readings.stall_pressure) if p
    ] if readings else []  # fmt: skip
    if read:
        pressure = f"Up to {show(max(read), unit_of(Pa), system)} read at the gauge"
    else:
        least, part = weakest(pump)
        pressure = f"Up to {show(least, unit_of(Pa), system)}, the rating of the {part}"
    return HospitalInfo(liquids, pressure)
