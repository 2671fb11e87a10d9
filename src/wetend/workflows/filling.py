"""Calculators filled from a pump of the depot and a coating."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.calculators.filled import FILLED, Filling, from_pump
from wetend.errors import NoAnswer, NotFound
from wetend.pump.coating import Coating
from wetend.pump.guesses import GUESS_WORDS
from wetend.pump.toml import demo_coatings
from wetend.records.entries import said_by
from wetend.units.message import Message, joined
from wetend.workflows.desk import Desk

_LOOKED_THROUGH = 200
"""Coatings chosen on visits that are looked through."""


@dataclass(frozen=True)
class Filled:
    """Inputs for a calculator from a pump and its coating."""

    inputs: Filling
    pump: str
    coating: str
    guesses: tuple[str, ...]
    """What of the pump's description they hang on that is guessed."""

    @property
    def said(self) -> str:
        """Where they come from, and what of it is a guess."""
        if not self.guesses:
            return Message(
                "Filled from {pump} with {coating}, spraying in the middle of the data sheet's "
                "range.", pump=self.pump, coating=self.coating,
            )  # fmt: skip
        return Message(
            "Filled from {pump} with {coating}, spraying in the middle of the data sheet's range. "
            "Guessed, not measured: {guesses}.",
            pump=self.pump, coating=self.coating, guesses=joined("; ", self.guesses),
        )  # fmt: skip


def coatings_of(desk: Desk) -> tuple[Coating, ...]:
    """Coatings to fill a calculator from: those chosen on visits last, then the examples."""
    seen: dict[str, Coating] = {}
    for entry in reversed(desk.depot.entries(kinds=("coating",))[-_LOOKED_THROUGH:]):
        noun = said_by(entry)
        if isinstance(noun, Coating):
            seen.setdefault(noun.key, noun)
    return tuple((seen | {c.key: seen.get(c.key, c) for c in demo_coatings()}).values())


def filled(desk: Desk, name: str, pump_key: str, coating_key: str = "") -> Filled:
    """What a pump and a coating say of a calculator's inputs.

    Without a coating, the one chosen last is taken.

    Raises:
        NotFound: there is no such pump or coating.
        NoAnswer: they say nothing of this calculator, or the coating no viscosity.
    """
    if name not in FILLED:
        raise NoAnswer(Message("A pump and a coating say nothing of these inputs."))
    pump, known = desk.pump(pump_key), coatings_of(desk)
    coating = next((c for c in known if not coating_key or c.key == coating_key), None)
    if coating is None:
        raise NotFound(Message("There is no coating “{key}”.", key=coating_key[:60]))
    inputs, guesses = from_pump(name, pump, coating)
    return Filled(inputs, pump.name, coating.name, tuple(GUESS_WORDS[g] for g in guesses))
