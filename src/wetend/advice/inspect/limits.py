"""A measured feature against its limit, by the probability that it conforms."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.advice.inspect.instruments import (
    FEATURE_WORDS,
    WITH_ARTICLE,
    Feature,
    can_take,
    finer_than,
    fit_for,
    standard_uncertainty,
)
from wetend.advice.inspect.judgement import Check
from wetend.advice.reasons import Figure, Verdict, Working
from wetend.pump.measurements import Instrument
from wetend.stats.conformance import Decision, conformance_probability, decide, guard_band
from wetend.units.message import Message, Text, joined, raised
from wetend.units.quantity import M, Ratio, Unit, unit_of

SURE = 0.95
"""A verdict is given at this probability of being right; in between, measure again. Common
practice, as in ISO 14253-1 (from memory)."""


@dataclass(frozen=True)
class Reading:
    """A feature's value and how it was read.

    Attributes:
        title: what it is.
        value: the figure held against the limit.
        size: the reading on the instrument, from which the value was taken.
        feature: what kind of thing was measured.
        instrument: with what.
        spread: standard uncertainty over that of one reading; root two for a difference of two.
    """

    title: str
    value: M
    size: M
    feature: Feature
    instrument: Instrument
    spread: float = 1.0

    @property
    def uncertainty(self) -> M:
        """Standard uncertainty of the value."""
        return self.spread * standard_uncertainty(self.instrument, self.feature, self.size)


@dataclass(frozen=True)
class Limit:
    """What a feature must keep to, where that comes from, and what follows when it does not."""

    unit: Unit
    lower: float | None = None
    upper: float | None = None
    source: str = Message("the pump's description")
    failing: Verdict = Verdict.REPLACE
    then: str = ""
    """What failing means, a sentence."""

    @property
    def width(self) -> float:
        """The size of what must be told apart."""
        if self.lower is not None and self.upper is not None:
            return self.upper - self.lower
        return abs(self.upper if self.upper is not None else self.lower or 0.0)


def check(reading: Reading, limit: Limit, *, shown: M | None = None) -> Check:
    """Hold a reading against its limit.

    Args:
        reading: the value and how it was read.
        limit: what it must keep to.
        shown: the smallest difference the instrument must be able to tell; the limit itself unless
            given (a height's limit is large, the wear that matters is small).
    """
    probability = conformance_probability(
        reading.value, reading.uncertainty, lower=limit.lower, upper=limit.upper
    )
    decision = decide(probability, accept=SURE, reject=1 - SURE)
    if not can_take(reading.instrument, reading.feature):
        verdict, why = Verdict.MEASURE_AGAIN, _cannot(reading)
    elif decision is Decision.CONFORMS:
        verdict, why = Verdict.KEEP, Message("{title} is within its limit.", title=reading.title)
    elif decision is Decision.FAILS:
        verdict, why = (
            limit.failing,
            joined(" ", filter(None, (_past(reading), limit.then))),
        )
    else:
        verdict, why = Verdict.MEASURE_AGAIN, _undecided(reading, shown or limit.width)
    return Check(
        title=reading.title,
        value=reading.value,
        uncertainty=reading.uncertainty,
        lower=limit.lower,
        upper=limit.upper,
        unit=limit.unit,
        limit_from=_source(limit.source),
        probability=probability,
        verdict=verdict,
        why=why,
        working=_working(reading, limit, probability),
        guard=guard_band(reading.uncertainty, confidence=SURE),
    )


def _source(said: str) -> str:
    """Where a limit comes from; a description's code for it in words."""
    return said if isinstance(said, Text) else Message(said)


def _past(reading: Reading) -> str:
    return Message("{title} is past its limit.", title=reading.title)


def _cannot(reading: Reading) -> str:
    better = finer_than(reading.uncertainty / reading.spread, reading.feature, reading.size)
    instrument, size = WITH_ARTICLE[reading.instrument], FEATURE_WORDS[reading.feature]
    sentence = (
        Message(
            "{instrument} can't measure {size}; use {better}.",
            instrument=instrument,
            size=size,
            better=WITH_ARTICLE[better],
        )
        if better
        else Message("{instrument} can't measure {size}.", instrument=instrument, size=size)
    )
    return raised(sentence)


def _undecided(reading: Reading, shown: M) -> str:
    better = finer_than(reading.uncertainty / reading.spread, reading.feature, reading.size)
    title, instrument = reading.title, WITH_ARTICLE[reading.instrument]
    if fit_for(reading.instrument, reading.feature, value=reading.size, limit=shown):
        if not better:
            return Message(
                "{title} is too near its limit to say: measure it twice more, clean and dry.",
                title=title,
            )
        return Message(
            "{title} is too near its limit to say: measure again with {better}.",
            title=title,
            better=WITH_ARTICLE[better],
        )
    if not better:
        return Message(
            "{title} is too fine for {instrument}: measure it twice more, clean and dry.",
            title=title,
            instrument=instrument,
        )
    return Message(
        "{title} is too fine for {instrument}: measure again with {better}.",
        title=title,
        instrument=instrument,
        better=WITH_ARTICLE[better],
    )


def _working(reading: Reading, limit: Limit, probability: Ratio) -> Working:
    bounds = ((Message("Lower limit"), limit.lower), (Message("Upper limit"), limit.upper))
    return Working(
        title=Message("{title}: conformity", title=reading.title),
        formula="P = Φ((upper − value)/u) − Φ((lower − value)/u);  u = half-width/√3 × spread",
        given=(
            Figure(Message("Value"), reading.value, limit.unit, "y"),
            Figure(Message("Standard uncertainty"), reading.uncertainty, limit.unit, "u"),
            *(Figure(name, bound, limit.unit) for name, bound in bounds if bound is not None),
        ),
        result=(Figure(Message("Probability that it conforms"), probability, unit_of(Ratio), "P"),),
        source="JCGM 106:2012, 7.2 to 7.4; JCGM 100:2008, 4.3.7 for the instrument; half-widths "
        "of instruments by common practice, no source",
        validity=Message(
            "Little known before measuring. Kept at {sure:.0%} and above, condemned at "
            "{unsure:.0%} and below, measured again in between.",
            sure=SURE,
            unsure=1 - SURE,
        ),
        calculator="conformance",
        inputs=(
            ("value", reading.value * 1e3),
            ("uncertainty", reading.uncertainty * 1e3),
            *(
                (n, b * 1e3)
                for n, b in (("lower", limit.lower), ("upper", limit.upper))
                if b is not None
            ),
        ),
    )
