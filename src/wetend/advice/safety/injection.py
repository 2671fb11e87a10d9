"""Injection through the skin: what to do, what to say. Common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from wetend.advice.ratings import weakest
from wetend.materials.solvents import solvents
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.readings import CheckReadings
from wetend.units.message import Message, joined
from wetend.units.quantity import Pa, unit_of
from wetend.units.show import show

TITLE: Final = Message("Injection: go to hospital now")
LEAD: Final = Message(
    "A jet through the skin is a surgical emergency, however small the wound, "
    "and though it does not hurt yet."
)
STEPS: Final[tuple[tuple[str, str], ...]] = (
    (
        Message("Go now."),
        Message("Ring, or be driven. Don't wait for pain or swelling, don't drive yourself."),
    ),
    (
        Message("Say “high-pressure injection”."),
        Message("Ask for a surgeon. Say what, what pressure, when."),
    ),
    (
        Message("Take the data sheet."),
        Message("The coating's safety data sheet, or a photo of every label."),
    ),
    (
        Message("Keep still."),
        Message("The limb at rest and low. Rings off. Don't squeeze, cut or bind it."),
    ),
    (Message("No food, no drink."), Message("An operation is likely.")),
)
"""What to do, the first thing first: a few words and what they mean."""
MAKE_SAFE: Final = Message(
    "Whoever stays: drive off, trigger lock on, nobody near the jet. Leave the pump as it is."
)
ON_PAPER: Final = Message(
    "Injection, however small: hospital at once, with the data sheet. What to "
    "do: the page Injection, or `wetend injection`."
)
"""Stands on every printed sheet."""


@dataclass(frozen=True)
class HospitalInfo:
    """What the surgeon needs to know, as far as a visit knows it."""

    liquids: str
    pressure: str


def hospital_info(
    pump: Pump, coating: Coating | None, readings: CheckReadings | None
) -> HospitalInfo:
    """What went in and at what pressure, from what a visit holds.

    Where no gauge was read it is the weakest rating: the pressure can have been no higher for long.
    """
    liquids: str = Message("Coating not recorded here: read the label")
    if coating is not None:
        thinner = solvents().rows.get(coating.solvent or "")
        held = (
            (Message("two-pack, base and hardener"), coating.two_pack == "yes"),
            (Message("contains isocyanate"), coating.isocyanate == "yes"),
            (Message("contains lead"), coating.holds_lead == "yes"),
        )
        parts = (coating.name, *(words for words, yes in held if yes))
        liquids = joined(", ", parts)
        if thinner:
            liquids = Message(
                "{liquids}; thinner or flush: {title}", liquids=liquids, title=thinner.title
            )
    read = [
        p for p in (readings.spray_pressure, readings.stall_pressure) if p
    ] if readings else []  # fmt: skip
    if read:
        pressure = Message(
            "Up to {pressure} read at the gauge", pressure=show(max(read), unit_of(Pa))
        )
    else:
        least, part = weakest(pump)
        pressure = Message(
            "Up to {least}, the rating of the {part}",
            least=show(least, unit_of(Pa)),
            part=part,
        )
    return HospitalInfo(liquids, pressure)
