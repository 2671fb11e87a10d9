"""One proof reading judged against its limit."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.prove.acts import Act
from wetend.advice.prove.answer import ProofTest
from wetend.advice.prove.creep_limits import CreepLimits, judge_creep
from wetend.advice.reasons import Figure, Verdict, Working
from wetend.stats.conformance import Decision, conformance_probability, decide
from wetend.units.message import Message, joined
from wetend.units.quantity import Ratio, Unit
from wetend.units.show import chance_text, show

_VERDICTS = {
    Decision.CONFORMS: Verdict.PASS,
    Decision.FAILS: Verdict.FAIL,
    Decision.UNDECIDED: Verdict.NOT_PROVEN,
}


_DECISION = Message(
    "decision by conformance probability, JCGM 106:2012, 7.2: pass from 95 %, fail up to 5 %"
)


@dataclass(frozen=True)
class Plan:
    """A proof test before it is read: what it is, the act it is read at, its limit and source."""

    key: str
    title: str
    act: Act
    limit: float
    unit: Unit
    formula: str
    given: tuple[Figure, ...]
    source: str
    validity: str
    limit_is: str = Message("at most")
    good: float | None = None
    """What a good rebuild keeps to, where that is stricter than the limit."""
    by_looking: bool = False
    how: str = ""
    """How it is done, where this pump's own way says more than the act's."""
    calculator: str = ""
    """Calculator of the reading; blank where none is."""
    inputs: tuple[tuple[str, float | str | tuple[float, ...] | None], ...] = ()
    """What it is filled with, as far as it is read."""


@dataclass(frozen=True)
class Reading:
    """A value with its standard uncertainty, and what to say beside the verdict."""

    value: float
    uncertainty: float
    remark: str = ""
    better: str = ""
    """What would prove it, where this reading doesn't."""


def _working(plan: Plan, reading: Reading | None) -> Working:
    result = [] if plan.by_looking else [Figure(Message("limit"), plan.limit, plan.unit)]
    if plan.good is not None:
        result.append(Figure(Message("what a good rebuild keeps to"), plan.good, plan.unit))
    if reading is not None and not plan.by_looking:
        result.append(Figure(Message("reading"), reading.value, plan.unit))
        result.append(Figure(Message("standard uncertainty"), reading.uncertainty, plan.unit))
    return Working(
        title=plan.title,
        formula=plan.formula,
        given=plan.given,
        result=tuple(result),
        source=plan.source if plan.by_looking else f"{plan.source}; {_DECISION}",
        validity=plan.validity,
        calculator=plan.calculator,
        inputs=tuple((name, value) for name, value in plan.inputs if value is not None),
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
        how=plan.how or plan.act.how,
        cautions=plan.act.cautions,
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
        group=plan.act.group,
        act=plan.act.key,
        good=plan.good,
        by_looking=plan.by_looking,
    )


def unread(plan: Plan, lacks: str) -> ProofTest:
    """The test without a reading: not proven, and what it lacks."""
    return _test(plan, None, probability=None, verdict=Verdict.NOT_PROVEN, why=lacks)


def doubtful(plan: Plan, reading: Reading, why: str) -> ProofTest:
    """The test with a reading that can't be right: not proven, and why."""
    return _test(plan, reading, probability=None, verdict=Verdict.NOT_PROVEN, why=why)


def not_applicable(plan: Plan, why: str, reading: Reading | None = None) -> ProofTest:
    """The test that can't be one here: counts neither for nor against, and why."""
    return _test(plan, reading, probability=None, verdict=Verdict.NOT_APPLICABLE, why=why)


def seen(plan: Plan, word: str, *, good: bool, why: str) -> ProofTest:
    """A test by looking: what was seen in a word, pass or fail."""
    reading = Reading(0.0 if good else 1.0, 0.0)
    verdict = Verdict.PASS if good else Verdict.FAIL
    return _test(plan, reading, probability=None, verdict=verdict, why=why, word=word)


def concluded(
    plan: Plan, reading: Reading, *, verdict: Verdict, why: str, probability: Ratio | None = None
) -> ProofTest:
    """The test with a verdict reached by its own reasoning."""
    return _test(plan, reading, probability=probability, verdict=verdict, why=why)


def graded(plan: Plan, reading: Reading, limits: CreepLimits) -> ProofTest:
    """A creep against both its limits: good, watch or fail."""
    found = judge_creep(reading.value, reading.uncertainty, limits)
    few, verdict = show(limits.good, plan.unit), found.verdict
    meets = Message(
        "{bearable} chance that the pump meets it.", bearable=chance_text(found.bearable)
    )
    clear = decide(found.good) is Decision.FAILS
    said = {
        Verdict.PASS: Message(
            "Good: it stays put, {good} sure that it keeps to the {few} of a good rebuild.",
            good=chance_text(found.good),
            few=few,
        ),
        Verdict.WATCH: Message(
            "The leak costs little yet, but a good rebuild keeps to {few}. The pump will be back "
            "sooner.",
            few=few,
        )
        if clear
        else Message(
            "The leak costs little yet, but a good rebuild keeps to {few}; {good} sure of it.",
            few=few,
            good=chance_text(found.good),
        ),
        Verdict.FAIL: Message("Outside the limit: {meets}", meets=meets),
        Verdict.NOT_PROVEN: Message("Too near the limit for this reading: {meets}", meets=meets),
    }[verdict]
    extra = [reading.remark] if reading.remark and verdict is not Verdict.PASS else []
    near = verdict is Verdict.NOT_PROVEN or (verdict is Verdict.WATCH and not clear)
    if near and reading.better:
        extra.append(reading.better)
    why = joined(" ", [said, *extra])
    return _test(plan, reading, probability=found.bearable, verdict=verdict, why=why)


def judged(plan: Plan, reading: Reading, *, both_sides: bool = False) -> ProofTest:
    """The reading against the limit, by the probability that the pump truly meets it.

    ``both_sides``: the value may lie as far below zero as above; the limit counts both ways.
    """
    low = plan.limit if plan.limit_is == "at least" else (-plan.limit if both_sides else None)
    high = plan.limit if plan.limit_is == "at most" else None
    chance = conformance_probability(reading.value, reading.uncertainty, lower=low, upper=high)
    verdict = _VERDICTS[decide(chance)]
    shown = reading if not both_sides else Reading(abs(reading.value), reading.uncertainty)
    said = {
        Verdict.PASS: Message("Within the limit"),
        Verdict.FAIL: Message("Outside the limit"),
        Verdict.NOT_PROVEN: Message("Too near the limit for this reading"),
    }[verdict]
    why = Message(
        "{said}: {chance} chance that the pump meets it.", said=said, chance=chance_text(chance)
    )
    extra = [reading.remark] if reading.remark else []
    if verdict is Verdict.NOT_PROVEN and reading.better:
        extra.append(reading.better)
    return _test(plan, shown, probability=chance, verdict=verdict, why=joined(" ", [why, *extra]))
