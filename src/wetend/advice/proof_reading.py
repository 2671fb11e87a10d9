"""One proof reading judged against its limit."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.proof_answer import ProofTest
from wetend.advice.reasons import Caution, Figure, Verdict, Working
from wetend.stats.conformance import Decision, conformance_probability, decide
from wetend.units.quantity import Ratio, Unit
from wetend.units.show import chance_text

_VERDICTS = {
    Decision.CONFORMS: Verdict.PASS,
    Decision.FAILS: Verdict.FAIL,
    Decision.UNDECIDED: Verdict.NOT_PROVEN,
}


@dataclass(frozen=True)
class Plan:
    """A proof test before it is read: what it is, how it is done, its limit and where from."""

    key: str
    title: str
    how: str
    limit: float
    unit: Unit
    formula: str
    given: tuple[Figure, ...]
    source: str
    validity: str
    limit_is: str = "at most"
    caution: Caution | None = None


@dataclass(frozen=True)
class Reading:
    """A value with its standard uncertainty, and what to say beside the verdict."""

    value: float
    uncertainty: float
    remark: str = ""
    better: str = ""
    """What would prove it, where this reading doesn't."""


def _working(plan: Plan, reading: Reading | None) -> Working:
    result = [Figure("limit", plan.limit, plan.unit)]
    if reading is not None:
        result.append(Figure("reading", reading.value, plan.unit))
        result.append(Figure("standard uncertainty", reading.uncertainty, plan.unit))
    return Working(
        title=plan.title,
        formula=plan.formula,
        given=plan.given,
        result=tuple(result),
        source=f"{plan.source}; decision by conformance probability, JCGM 106:2012, 7.2: pass from "
        "95 %, fail up to 5 %",
        validity=plan.validity,
    )


def _test(
    plan: Plan,
    reading: Reading | None,
    *,
    probability: Ratio | None,
    verdict: Verdict,
    why: str,
    word: str = "",
) -> ProofTest:
    return ProofTest(
        key=plan.key,
        title=plan.title,
        how=plan.how,
        caution=plan.caution,
        value=reading.value if reading else None,
        uncertainty=reading.uncertainty if reading else None,
        limit=plan.limit,
        limit_is=plan.limit_is,
        unit=plan.unit,
        probability=probability,
        verdict=verdict,
        why=why,
        working=_working(plan, reading),
        seen=word,
    )


def unread(plan: Plan, lacks: str) -> ProofTest:
    """The test without a reading: not proven, and what it lacks."""
    return _test(plan, None, probability=None, verdict=Verdict.NOT_PROVEN, why=lacks)


def doubtful(plan: Plan, reading: Reading, why: str) -> ProofTest:
    """The test with a reading that can't be right: not proven, and why."""
    return _test(plan, reading, probability=None, verdict=Verdict.NOT_PROVEN, why=why)


def seen(plan: Plan, word: str, *, good: bool, why: str) -> ProofTest:
    """A test by looking: what was seen in a word, pass or fail."""
    reading = Reading(0.0 if good else 1.0, 0.0)
    verdict = Verdict.PASS if good else Verdict.FAIL
    return _test(plan, reading, probability=None, verdict=verdict, why=why, word=word)


def judged(plan: Plan, reading: Reading, *, both_sides: bool = False) -> ProofTest:
    """The reading against the limit, by the probability that the pump truly meets it.

    ``both_sides``: the value may lie as far below nought as above; the limit counts both ways.
    """
    low = plan.limit if plan.limit_is == "at least" else (-plan.limit if both_sides else None)
    high = plan.limit if plan.limit_is == "at most" else None
    chance = conformance_probability(reading.value, reading.uncertainty, lower=low, upper=high)
    verdict = _VERDICTS[decide(chance)]
    shown = reading if not both_sides else Reading(abs(reading.value), reading.uncertainty)
    said = {
        Verdict.PASS: "Within the limit",
        Verdict.FAIL: "Outside the limit",
        Verdict.NOT_PROVEN: "Too near the limit for this reading",
    }[verdict]
    why = f"{said}: {chance_text(chance)} sure that the pump meets it."
    extra = [reading.remark] if reading.remark else []
    if verdict is Verdict.NOT_PROVEN and reading.better:
        extra.append(reading.better)
    return _test(plan, shown, probability=chance, verdict=verdict, why=" ".join([why, *extra]))
