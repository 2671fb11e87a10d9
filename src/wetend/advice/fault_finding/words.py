"""The answer in plain words: which reading told it, what to do, what can hurt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetend.advice.fault_finding.evidence import Reading
from wetend.advice.fault_finding.faults import OPEN_FIRST, WET_END, Fault, Finding, Prediction
from wetend.advice.fault_finding.posterior import Cloud
from wetend.advice.fault_finding.summary import says
from wetend.advice.reasons import Caution
from wetend.units.kinds import System
from wetend.units.show import show

LIKELY, POSSIBLE = 0.7, 0.2
LEAVE_FROM = 0.7
"""Soundness from which the wet end is left alone."""
_SPEAKS = 0.45
"""Logarithm of the Bayes factor from which a reading is said to speak: half as likely again."""

CAUTIONS = (
    Caution("A nozzle or pin-hole stream goes through skin and the wound looks trivial: trigger "
            "lock on, never feel for a leak. An injection is a surgical emergency; say what was "
            "injected."),
    Caution("At stall the rod can move at any moment and hose and gun hold full pressure: hands "
            "clear of rod and coupling."),
    Caution("Before anything is opened: supply shut and locked off, gun and dump valve opened into "
            "an earthed pail, zero proven at gauge and gun. A blockage can hide pressure."),
    Caution("The tool advises; the maker's manual, the safety data sheet and local rules have the "
            "last word.", "care"),
)  # fmt: skip


def word_for(probability: float) -> str:
    """A probability in a word.

    >>> word_for(0.84), word_for(0.3), word_for(0.06)
    ('likely', 'possible', 'unlikely')
    """
    if probability >= LIKELY:
        return "likely"
    return "possible" if probability >= POSSIBLE else "unlikely"


@dataclass(frozen=True)
class Teller:
    """Says what readings show, in a person's own units."""

    healthy: Prediction
    system: System

    def phrase(self, reading: Reading) -> str:
        """One reading against what a sound pump would show."""
        key, what = reading.what.key, reading.what
        if key == "wet_cup":
            return "coating in the wet cup" if reading.value > 0.5 else "a clean wet cup"
        if key == "early_drop":
            sight = "quick drop at the start of the down-stroke"
            return f"a {sight}" if reading.value > 0.5 else f"no {sight}"
        assert what.unit is not None
        figure = f"{what.title} {show(reading.value, what.unit, self.system)}"
        sound = getattr(self.healthy, key, None)
        if key == "cycle_volume":
            sound = self.healthy.flow / self.healthy.cycle_rate
        if sound is None or key.startswith("creep"):
            return figure
        return f"{figure} where a sound pump shows {show(sound, what.unit, self.system)}"


def _listed(phrases: Sequence[str]) -> str:
    return phrases[0] if len(phrases) == 1 else ", ".join(phrases[:-1]) + " and " + phrases[-1]


def because(
    cloud: Cloud, fault: Fault, readings: Sequence[Reading], teller: Teller, chance: float
) -> str:
    """What the readings say for a fault and against it."""
    weight = says(cloud, fault)
    order = np.argsort(-weight)
    speaking = [teller.phrase(readings[i]) for i in order if weight[i] > _SPEAKS][:2]
    against = [teller.phrase(readings[i]) for i in order[::-1] if weight[i] < -_SPEAKS][:2]
    spoken = f"For it: {_listed(speaking)}." if speaking else ""
    denied = f"Against it: {_listed(against)}." if against else ""
    if chance >= POSSIBLE:
        return " ".join(filter(None, (spoken, denied))) or "No reading tells for it or against it."
    if denied:
        return " ".join(filter(None, (denied, spoken)))
    if spoken:
        return f"{spoken} Another fault explains that better."
    return "No reading speaks for it."


def where_to_start(
    findings: Sequence[Finding], *, sound: float, explained: bool, check: str | None
) -> str:
    """What to open first, or why to leave the wet end shut."""
    if not explained:
        return "Open nothing yet: the readings don't fit together. Take them again."
    outside = [f for f in findings if f.fault not in WET_END and f.probability >= LIKELY]
    inside = [f for f in findings if f.fault in WET_END and f.probability >= LIKELY]
    if outside and inside:
        return f"{OPEN_FIRST[outside[0].fault]} Then: {OPEN_FIRST[inside[0].fault]}"
    if inside:
        return OPEN_FIRST[inside[0].fault]
    if outside and sound >= LEAVE_FROM:
        return f"Leave the wet end shut. {OPEN_FIRST[outside[0].fault]}"
    if sound >= LEAVE_FROM:
        return "Leave the wet end shut: nothing read so far says that it leaks."
    if check:
        return "Open nothing yet: one more check will tell more than opening."
    return OPEN_FIRST[findings[0].fault]


def overall(
    findings: Sequence[Finding], *, sound: float, explained: bool, strays: Sequence[str]
) -> str:
    """The answer in a sentence or two."""
    stray = f"Read again what doesn't fit the rest: {_listed(strays[:2])}." if strays else ""
    if not explained:
        return f"No mixture of the faults known here explains these readings. {stray}".strip()
    top = findings[0]
    if top.probability < POSSIBLE:
        lead = f"Nothing stands out; the wet end is sound with {sound:.0%}."
    else:
        named = [f for f in findings if f.probability >= LIKELY] or [top]
        listed = _listed([f"{f.fault.value} ({f.probability:.0%})" for f in named[:3]])
        verb = named[0].word if len(named) == 1 else "likely together"
        lead = f"{listed[0].upper()}{listed[1:]} is {verb}. {named[0].because}"
        if len(named) > 1:
            lead = f"{listed[0].upper()}{listed[1:]} are {verb}. {named[0].because}"
    return f"{lead} {stray}".strip()
