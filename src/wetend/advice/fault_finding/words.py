"""The answer in plain words: which reading told it, what to do, what can hurt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetend.advice.fault_finding.evidence import Reading
from wetend.advice.fault_finding.faults import OPEN_FIRST, WET_END, Fault, Finding, Prediction
from wetend.advice.fault_finding.observables import Key
from wetend.advice.fault_finding.posterior import Cloud
from wetend.advice.fault_finding.summary import says
from wetend.advice.reasons import Caution
from wetend.units.kinds import System
from wetend.units.show import show

LIKELY, POSSIBLE = 0.7, 0.2
LEAVE_FROM = 0.7
"""Soundness from which the wet end is left alone."""
_SPEAKS, _SPEAKS_UP = 0.45, 1.1
"""Logarithm of the Bayes factor from which a reading is said to speak: half as likely again; and,
for a fault that is unlikely after all, three times as likely.
"""
_EASIEST_FIRST = (Fault.FOOT_VALVE, Fault.STATIC_PACKINGS, Fault.PISTON_VALVE)
"""Foot valve before anything that moves the rod (common practice)."""

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
        sound = self._sound(key)
        if sound is None:
            return figure
        shown = show(sound, what.unit, self.system)
        seen, expected = (float(what.scale(np.asarray(v))) for v in (reading.value, sound))
        if abs(seen - expected) <= reading.error:
            return f"{figure}, much as a sound pump's {shown}"
        return f"{figure} where a sound pump shows {shown}"

    def _sound(self, key: Key) -> float | None:
        """What the sound pump reads, where it is worth saying."""
        if key.startswith("creep"):
            return None
        if key == "cycle_volume":
            return self.healthy.flow / self.healthy.cycle_rate
        value = getattr(self.healthy, key, None)
        return None if value is None else float(value)


def percent(probability: float) -> str:
    """A probability as people say it, never quite nought or certain.

    >>> percent(0.84), percent(0.9999), percent(0.0)
    ('84 %', 'over 99 %', 'under 1 %')
    """
    if probability >= 0.995:
        return "over 99 %"
    return "under 1 %" if probability < 0.005 else f"{probability * 100:.0f} %"


def _listed(phrases: Sequence[str]) -> str:
    return phrases[0] if len(phrases) == 1 else ", ".join(phrases[:-1]) + " and " + phrases[-1]


def because(
    cloud: Cloud, fault: Fault, readings: Sequence[Reading], teller: Teller, chance: float
) -> str:
    """What the readings say for a fault and against it."""
    weight = says(cloud, fault)
    order = np.argsort(-weight)
    least = _SPEAKS if chance >= POSSIBLE else _SPEAKS_UP
    speaking = [teller.phrase(readings[i]) for i in order if weight[i] > least][:2]
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
    likely = {f.fault for f in findings if f.probability >= LIKELY}
    inside = [OPEN_FIRST[fault] for fault in _EASIEST_FIRST if fault in likely]
    if inside:
        return " Then: ".join([OPEN_FIRST[f.fault] for f in outside[:1]] + inside)
    if outside and sound >= LEAVE_FROM:
        return f"Leave the wet end shut. {OPEN_FIRST[outside[0].fault]}"
    if sound >= LEAVE_FROM:
        if findings[0].fault not in WET_END and findings[0].probability >= POSSIBLE:
            return f"Leave the wet end shut. {OPEN_FIRST[findings[0].fault]}"
        return "Leave the wet end shut: nothing read so far says that it leaks."
    if check:
        return "Open nothing yet: one more check will tell more than opening."
    if findings[0].probability < POSSIBLE:
        return "Open nothing: no fault stands out. Run it and check again."
    return OPEN_FIRST[findings[0].fault]


def leave_shut(findings: Sequence[Finding], *, sound: float, explained: bool) -> bool:
    """Whether it is better not to open the wet end on what is known."""
    inside = max(f.probability for f in findings if f.fault in WET_END)
    return not explained or sound >= LEAVE_FROM or inside < POSSIBLE


def read_again(strays: Sequence[str]) -> str:
    """Which readings to take again."""
    return f"Read again what doesn't fit the rest: {_listed(strays[:2])}."


def _named(findings: Sequence[Finding]) -> str:
    """The likely faults, or the likeliest, with their chances."""
    named = [f for f in findings if f.probability >= LIKELY][:3] or [findings[0]]
    listed = _listed([f"{f.fault.value} ({percent(f.probability)})" for f in named])
    verb = f"is {named[0].word}" if len(named) == 1 else "are likely together"
    return f"{listed} {verb}"


def overall(
    findings: Sequence[Finding], *, sound: float, explained: bool, strays: Sequence[str]
) -> str:
    """The answer in a sentence or two."""
    again = read_again(strays) if strays else ""
    named = _named(findings)
    if not explained:
        lead = "No mixture of the faults known here explains all these readings."
        rest = f"By the rest, {named}." if strays and findings[0].probability >= LIKELY else ""
        return " ".join(filter(None, (lead, again, rest)))
    if findings[0].probability < POSSIBLE:
        lead = f"Nothing stands out; that the wet end is sound has a chance of {percent(sound)}."
    else:
        lead = f"{named[0].upper()}{named[1:]}. {findings[0].because}"
    return f"{lead} {again}".strip()
