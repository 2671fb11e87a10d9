"""Result of the proof stage: tests with limits, readings and verdicts."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.prove.acts import Group
from wetend.advice.reasons import Caution, Verdict, Working
from wetend.units.message import Message
from wetend.units.quantity import Ratio, Unit
from wetend.units.show import show


@dataclass(frozen=True)
class ProofTest:
    """One proof test, its reading, its limit and its verdict."""

    key: str
    title: str
    how: str
    cautions: tuple[Caution, ...]
    value: float | None
    uncertainty: float | None
    """Standard uncertainty of the reading, with that of the limit."""
    limit: float
    limit_is: str
    """"at most" or "at least"."""
    unit: Unit
    probability: Ratio | None
    """Probability that the pump truly meets the limit."""
    verdict: Verdict
    why: str
    working: Working
    seen: str = ""
    """What was seen, in a word, for a test by looking; ``""`` for one with a number."""
    group: Group = "bench"
    act: str = ""
    """Key of the act that it is read at, in :data:`wetend.advice.prove.acts.ACTS`."""
    good: float | None = None
    """What a good rebuild keeps to, where that is stricter than the limit."""
    by_looking: bool = False
    """Whether it is judged by looking or doing, without a number."""

    @property
    def good_text(self) -> str:
        """What a good rebuild keeps to, where that is stricter than the limit; else blank."""
        return "" if self.good is None else Message("good: {good}", good=show(self.good, self.unit))

    @property
    def wrong_pass(self) -> Ratio | None:
        """Chance that the pump does not meet the limit, so that passing it would be wrong."""
        return None if self.probability is None else 1 - self.probability

    @property
    def wrong_fail(self) -> Ratio | None:
        """Chance that the pump meets the limit, so that failing it would be wrong."""
        return self.probability


@dataclass(frozen=True)
class Proof:
    """All proof tests together."""

    tests: tuple[ProofTest, ...]
    verdict: Verdict
    """``PASS``, ``WATCH`` (passes, something to be watched), ``FAIL`` or ``NOT_PROVEN``."""
    why: str
    on_fail: str
    """What to do next if it failed."""
    inside: bool = False
    """Whether a failed test says what is wrong inside, so that its readings help the checks."""
