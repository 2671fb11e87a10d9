"""Soft rings by their free height: whether one is pressed flat for good, and what that looks like.

A ring that stays lower by as much as its largest squeeze has nothing left to give: common practice,
no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wetend.advice.inspect.limits import SURE
from wetend.advice.reasons import Verdict
from wetend.pump.description import Pump
from wetend.pump.measurements import StackMeasured
from wetend.pump.parts import StackPart
from wetend.stats.conformance import Decision, conformance_probability, decide, guard_band
from wetend.units.message import Message
from wetend.units.quantity import M, MFine

_CLEAR = 1.3
"""How many guard bands a picture's height keeps from the limit."""


@dataclass(frozen=True)
class RingJudged:
    """One soft ring by its measured height."""

    name: str
    title: str
    height: M
    least: M
    """Least height with which it is fitted again."""
    verdict: Verdict
    why: str


@dataclass(frozen=True)
class RingLook:
    """What a soft ring may look like, and the height that stands for it."""

    key: str
    name: str
    """Of the ring in the stack."""
    ring: str
    title: str
    height: M
    new: M
    least: M
    verdict: Verdict


def least_height(part: StackPart) -> M:
    """Least free height with which a soft ring is fitted again."""
    return part.height * (1 - max(part.squeeze_low, part.squeeze_high))


def judge_ring(part: StackPart, height: M, spread: MFine) -> RingJudged:
    """A soft ring by its free height, known to a standard uncertainty."""
    least = least_height(part)
    probability = conformance_probability(height, spread, lower=least)
    decision = decide(probability, accept=SURE, reject=1 - SURE)
    if decision is Decision.CONFORMS:
        verdict, why = Verdict.KEEP, Message("It has its height: it can be fitted again.")
    elif decision is Decision.FAILS:
        verdict, why = Verdict.REPLACE, Message("It is pressed flat for good: fit a new one.")
    else:
        verdict, why = (
            Verdict.MEASURE_AGAIN,
            Message("Its height is too near the least to say: measure it twice more, or fit new."),
        )
    return RingJudged(part.name, _title(part), height, least, verdict, why)


def _title(part: StackPart) -> str:
    return part.title or part.name.replace("-", " ")


def judge_rings(pump: Pump, measured: StackMeasured) -> tuple[RingJudged, ...]:
    """Every soft ring whose height was measured."""
    return tuple(
        judge_ring(part, measured.heights[part.name], measured.height_spread)
        for part in pump.stack.parts
        if part.kind == "soft-ring" and part.name in measured.heights
    )


def ring_looks(pump: Pump, spread: MFine) -> tuple[RingLook, ...]:
    """What each soft ring may look like: new, worn, at its least, flattened."""
    rings = (p for p in pump.stack.parts if p.kind == "soft-ring")
    return tuple(look for part in rings for look in _looks(part, spread))


def _looks(part: StackPart, spread: MFine) -> Iterator[RingLook]:
    new, least = part.height, least_height(part)
    clear = _CLEAR * guard_band(spread, confidence=SURE)

    def look(key: str, title: str, height: M, verdict: Verdict) -> RingLook:
        name = f"{part.name}-{key}"
        return RingLook(name, part.name, _title(part), title, height, new, least, verdict)

    if least + clear < new:
        worn = max(0.5 * (new + least), least + clear)
        yield look("new", Message("New: square edges"), new, Verdict.KEEP)
        yield look("worn", Message("Pressed, still has its height"), worn, Verdict.KEEP)
    yield look("limit", Message("At its least height"), least, Verdict.MEASURE_AGAIN)
    flat = least - max(clear, 0.4 * (new - least))
    if flat > 1e-5:
        yield look("flat", Message("Flattened, pressed out sideways"), flat, Verdict.REPLACE)
