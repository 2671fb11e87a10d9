"""Calculators for judging what was measured: roundness, conformance, uncertainty."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field, ValidationInfo, field_validator

from wetend.advice.calculators.calculator import Calculator, Outcome, Output, Value
from wetend.advice.calculators.expressions import names_in, parsed, worked_out
from wetend.errors import BadInput, NoAnswer, Problem
from wetend.lazy_import import distributions
from wetend.physics.circle import least_squares_circle, minimum_zone_circle
from wetend.stats.conformance import (
    Prior,
    acceptance_limit,
    conformance_probability,
    decide,
    guard_band,
    risks,
)
from wetend.stats.uncertainty import (
    Estimate,
    Model,
    coverage_factor,
    effective_degrees,
    propagate,
    second_order,
)
from wetend.units import kinds
from wetend.units.message import Message, joined
from wetend.units.noun import Line, Noun, Text
from wetend.units.parse import read_quantity
from wetend.units.quantity import M, MFine, Percent, Ratio, unit_of
from wetend.units.stated import stated

_UNIT_AT_END = re.compile(r"^(?P<rest>.*?[\d.)\]])\s*(?P<unit>[A-Za-zµ\"']+)\s*$", re.DOTALL)
_MOST_SKEWED, _HARDLY_SKEWED = 10.0, 1e-5
"""Spreads over the mean: beyond the one no parts are so, below the other all three laws agree."""
_FAR = 12.0
"""Standard deviations beyond which no part of a kind lies."""
_BETWEEN_PAIRS = re.compile(r"[;\n]|\)\s*,?\s*\(|\]\s*,?\s*\[")


def _pairs(text: str, bare: str) -> list[tuple[M, M]]:
    """Points as typed: ``"9, 34; 35, 10 mm"``, or one flat list of x and y in turn."""
    at_end = _UNIT_AT_END.match(text.strip())
    unit, rest = (at_end["unit"], at_end["rest"]) if at_end else (bare, text)
    parts = [p for p in _BETWEEN_PAIRS.split(rest) if p.strip(" \t()[],")]
    items = [[i for i in re.split(r"[\s,]+", p.strip(" \t()[],")) if i] for p in parts]
    if len(items) == 1 and len(items[0]) % 2 == 0:
        flat = items[0]
        items = [flat[i : i + 2] for i in range(0, len(flat), 2)]
    if any(len(pair) != 2 for pair in items):
        raise BadInput(
            Message(
                "a point is an x and a y, points apart by semicolons: 9, 34; 35, {length}",
                length=stated("10 mm"),
            )
        )
    read = [[read_quantity(i, kinds.LENGTH, bare=unit) for i in pair] for pair in items]
    return [(x, y) for x, y in read]


class Roundness(Noun):
    """Points taken round one section of a bore, rod or ball."""

    points: Text = Field(
        description=Message("x, y; x, y; … at least three; a unit at the end counts for all")
    )

    @field_validator("points")
    @classmethod
    def _in_metres(cls, text: str, info: ValidationInfo) -> str:
        system = (info.context or {}).get("bare")
        bare = unit_of(M).shown_in(system) if system else "m"
        try:
            pairs = _pairs(text, bare)
        except BadInput as bad:
            raise ValueError(str(bad)) from bad
        if not 3 <= len(pairs) <= 1000:
            raise ValueError(Message("a circle takes from 3 to 1,000 points"))
        if max(abs(c) for pair in pairs for c in pair) > 100:
            raise ValueError(
                Message(
                    "a point farther out than {length} is no part of a pump", length=stated("100 m")
                )
            )
        return joined("; ", (Message("{x!r}, {y!r}", x=x, y=y) for x, y in pairs)) + " m"


def _roundness(given: Roundness) -> Outcome:
    pairs = _pairs(given.points, "m")
    x, y = [p[0] for p in pairs], [p[1] for p in pairs]
    fit, ring = least_squares_circle(x, y), minimum_zone_circle(x, y)
    cautions = []
    if len(pairs) < 7:
        cautions.append(Message("Fewer than seven points can miss the lobes of a part."))
    values: dict[str, Value] = {
        "centre_x": fit.x, "centre_y": fit.y, "radius": fit.radius, "diameter": fit.diameter,
        "roundness": fit.roundness, "minimum_zone_roundness": ring.roundness,
        "minimum_zone_centre_x": ring.x, "minimum_zone_centre_y": ring.y,
    }  # fmt: skip
    return Outcome(values, tuple(cautions))


class Conformance(Noun):
    """A measured value with its standard uncertainty, and limits; all in one unit."""

    value: float = Field(ge=-1e12, le=1e12)
    uncertainty: float = Field(
        ge=0, le=1e12, description=Message("Standard uncertainty, one sigma")
    )
    lower: float | None = Field(
        default=None, ge=-1e12, le=1e12, description=Message("Least allowed")
    )
    upper: float | None = Field(
        default=None, ge=-1e12, le=1e12, description=Message("Most allowed")
    )
    maximum_risk: Ratio = Field(
        default=0.05,
        ge=1e-9,
        le=0.499,
        description=Message("Largest accepted chance of a wrong verdict"),
    )
    degrees: float | None = Field(
        default=None,
        ge=1,
        le=1e9,
        description=Message("Degrees of freedom of the uncertainty, if few"),
    )


def _conformance(given: Conformance) -> Outcome:
    risk = given.maximum_risk
    probability = conformance_probability(
        given.value, given.uncertainty, lower=given.lower, upper=given.upper,
        degrees=given.degrees or math.inf,
    )  # fmt: skip
    guard = guard_band(given.uncertainty, confidence=1 - risk)
    values: dict[str, Value] = {
        "probability": probability,
        "verdict": decide(probability, accept=1 - risk, reject=risk).value,
        "risk": 1 - probability,
        "guard_band": guard,
    }
    if given.lower is not None:
        values["accept_from"] = given.lower + guard
    if given.upper is not None:
        values["accept_to"] = given.upper - guard
    return Outcome(values)


class AcceptanceRisk(Noun):
    """Parts as they are made or worn, how they are measured, and their limits; all in one unit."""

    mean: float = Field(ge=-1e12, le=1e12, description=Message("Of the parts"))
    spread: float = Field(ge=1e-12, le=1e12, description=Message("Standard deviation of the parts"))
    law: Literal["normal", "gamma", "lognormal"] = Field(
        default="normal", description=Message("How the parts are spread")
    )
    uncertainty: float = Field(
        ge=1e-12, le=1e12, description=Message("Standard uncertainty of a measurement")
    )
    lower: float | None = Field(default=None, ge=-1e12, le=1e12)
    upper: float | None = Field(default=None, ge=-1e12, le=1e12)
    maximum_risk: Ratio | None = Field(
        default=None,
        ge=1e-9,
        le=0.499,
        description=Message("Accepted though bad: at most this; upper limit"),
    )


def _spread_of(given: AcceptanceRisk) -> Prior:
    if given.law == "normal":
        prior: Prior = distributions.norm(given.mean, given.spread)
        return prior
    if given.mean <= 0:
        sentence = Message("A {law} spread lies above zero, and so must its mean.", law=given.law)
        raise BadInput(sentence, (Problem("mean", sentence),))
    share = given.spread / given.mean
    if share > _MOST_SKEWED:
        sentence = Message(
            "A {law} spread {most_skewed:.0f} times its mean is no spread of parts.",
            law=given.law,
            most_skewed=_MOST_SKEWED,
        )
        raise BadInput(sentence, (Problem("spread", sentence),))
    if share < _HARDLY_SKEWED:
        plain: Prior = distributions.norm(given.mean, given.spread)
        return plain
    if given.law == "gamma":
        shaped: Prior = distributions.gamma(1 / share**2, scale=given.spread * share)
        return shaped
    sigma = math.sqrt(math.log1p(share**2))
    logged: Prior = distributions.lognorm(sigma, scale=given.mean / math.exp(sigma**2 / 2))
    return logged


def _acceptance(given: AcceptanceRisk) -> Outcome:
    if given.lower is None and given.upper is None:
        raise BadInput(Message("A limit is needed to judge against: lower, upper or both."))
    low = -math.inf if given.lower is None else given.lower
    high = math.inf if given.upper is None else given.upper
    if low >= high:
        raise BadInput(Message("The lower limit lies above the upper one."))
    if low > given.mean + _FAR * given.spread or high < given.mean - _FAR * given.spread:
        raise NoAnswer(Message("These parts lie far beyond the limits: all of them are bad."))
    prior = _spread_of(given)
    return Outcome(_risks_of(given, prior, low, high))


def _risks_of(given: AcceptanceRisk, prior: Prior, low: float, high: float) -> dict[str, Value]:
    plain = risks(prior, given.uncertainty, (low, high))
    bad = risks(prior, given.uncertainty, (low, high), (-math.inf, math.inf)).consumer
    values: dict[str, Value] = {
        "out_of_limits": min(max(bad, 0.0), 1.0),
        "consumer_risk": plain.consumer,
        "producer_risk": plain.producer,
    }
    if given.maximum_risk is not None:
        values |= _guarded(given, prior, low)
    return values


def _guarded(given: AcceptanceRisk, prior: Prior, low: float) -> dict[str, Value]:
    """The acceptance limit for the risk wanted, and what it costs the producer."""
    if given.upper is None or given.lower is not None:
        raise NoAnswer(Message("An acceptance limit is calculated only for an upper limit."))
    limit = acceptance_limit(prior, given.uncertainty, given.upper, given.maximum_risk or 0.0)
    guarded = risks(prior, given.uncertainty, (low, given.upper), (low, limit))
    return {
        "acceptance_limit": limit,
        "guard_band": given.upper - limit,
        "guarded_producer_risk": guarded.producer,
    }


Figure = Annotated[float, Field(ge=-1e15, le=1e15)]
Positive = Annotated[float, Field(ge=0, le=1e15)]


_BENDS = 0.05
"""Share that second-order terms add, from which the formula counts as bent: our choice."""
_BENT = Message(
    "The formula bends within these uncertainties: take the figure with "
    "second-order terms, and the expanded one as too small."
)


class UncertaintyBudget(Noun):
    """Inputs with their standard uncertainties, and how the result depends on them."""

    values: tuple[Figure, ...] = Field(
        default=(), max_length=26, description=Message("Of the inputs")
    )
    uncertainties: tuple[Positive, ...] = Field(
        min_length=1,
        max_length=26,
        description=Message("Standard uncertainty of each input, in order"),
    )
    formula: Line = Field(
        default="", description=Message("Of the names, like a*b/(c-d); blank: sensitivities")
    )
    names: tuple[Line, ...] = Field(
        default=(), max_length=26, description=Message("Of the inputs; blank: a, b, c, …")
    )
    sensitivities: tuple[Figure, ...] = Field(
        default=(), max_length=26, description=Message("Without a formula: of each; blank: 1")
    )
    degrees: tuple[Positive, ...] = Field(
        default=(),
        max_length=26,
        description=Message("Degrees of freedom of each; blank or 0: many"),
    )
    confidence: Percent = Field(
        default=0.95, ge=0.5, le=0.999999, description=Message("Of the interval")
    )


def _column(given: UncertaintyBudget, field: str, blank: float) -> tuple[float, ...]:
    numbers: tuple[float, ...] = getattr(given, field)
    wanted = len(given.uncertainties)
    if not numbers:
        return (blank,) * wanted
    if len(numbers) != wanted:
        sentence = Message(
            "Give {field} for each of the {wanted} uncertainties, or for none.",
            field=field,
            wanted=wanted,
        )
        raise BadInput(sentence, (Problem(field, sentence),))
    return numbers


def _estimates(given: UncertaintyBudget) -> dict[str, Estimate]:
    count = len(given.uncertainties)
    names = given.names or tuple("abcdefghijklmnopqrstuvwxyz"[:count])
    if len(set(names)) != count:
        raise BadInput(
            Message("Give {count} different names, one for each uncertainty, or none.", count=count)
        )
    degrees = _column(given, "degrees", 0.0)
    values = _column(given, "values", 0.0)
    return {
        name: Estimate(value, spread, many or math.inf)
        for name, value, spread, many in zip(
            names, values, given.uncertainties, degrees, strict=True
        )
    }


def _model_of(given: UncertaintyBudget, inputs: Mapping[str, Estimate]) -> Model:
    if not given.formula:
        slopes = dict(zip(inputs, _column(given, "sensitivities", 1.0), strict=True))
        return lambda x: math.fsum(slopes[n] * v for n, v in x.items())
    tree = parsed(given.formula)
    unknown = [n for n in names_in(tree) if n not in inputs]
    if unknown:
        sentence = Message(
            "The formula names {unknown}, but the inputs are {inputs}.",
            unknown=unknown[0][:40],
            inputs=joined(", ", inputs),
        )
        raise BadInput(sentence, (Problem("formula", sentence),))
    return lambda x: worked_out(tree, x)


def _bent(given: UncertaintyBudget, model: Model, inputs: Mapping[str, Estimate]) -> float | None:
    """Uncertainty with second-order terms, where the formula has a value one uncertainty away."""
    if not given.formula:
        return None
    try:
        found = second_order(model, inputs)
    except NoAnswer:
        return None
    return found if math.isfinite(found) else None


def _budget(given: UncertaintyBudget) -> Outcome:
    inputs = _estimates(given)
    model = _model_of(given, inputs)
    budget, bent = propagate(model, inputs), _bent(given, model, inputs)
    shares = [c.share for c in budget.contributions]
    degrees = effective_degrees(
        budget.uncertainty, [(s, e.degrees) for s, e in zip(shares, inputs.values(), strict=True)]
    )
    factor = coverage_factor(degrees, confidence=given.confidence)
    total = budget.uncertainty
    values: dict[str, Value] = {
        "value": budget.value,
        "combined": budget.uncertainty,
        "effective_degrees": degrees if math.isfinite(degrees) else "many",
        "coverage_factor": factor,
        "expanded": factor * budget.uncertainty,
        "contributions": tuple(abs(s) for s in shares),
        "shares": tuple((s / total) ** 2 if total else 0.0 for s in shares),
    }
    cautions = (_BENT,) if bent is not None and bent > (1.0 + _BENDS) * total else ()
    if bent is not None:
        values["second_order"] = bent
    if total == 0:
        return Outcome(values, cautions or (Message("All uncertainties are zero."),))
    largest = max(zip(inputs, shares, strict=True), key=lambda item: abs(item[1]))[0]
    return Outcome({**values, "largest": largest}, cautions)


_RATIO = unit_of(Ratio)
CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="roundness",
        title=Message("Roundness of a section"),
        inputs=Roundness,
        outputs={
            "centre_x": Output(unit_of(M), Message("Centre of the least-squares circle, x")),
            "centre_y": Output(unit_of(M), Message("Centre of the least-squares circle, y")),
            "radius": Output(unit_of(M), Message("Its radius")),
            "diameter": Output(unit_of(M), Message("Its diameter")),
            "roundness": Output(unit_of(MFine), Message("Roundness about that centre")),
            "minimum_zone_roundness": Output(unit_of(MFine), Message("Roundness, minimum zone")),
            "minimum_zone_centre_x": Output(unit_of(M), Message("Centre of the narrowest ring, x")),
            "minimum_zone_centre_y": Output(unit_of(M), Message("Centre of the narrowest ring, y")),
        },
        compute=_roundness,
        formula="least squares: min sum (d_i - r)^2; minimum zone: min (max d_i - min d_i)",
        source="ISO 12181-1:2011; Gander, Golub and Strebel, BIT 34 (1994) 558-578",
        validity=Message(
            "Points of one section, square to the axis; only as good as they are many."
        ),
        example={
            "points": "19.02, 0; 13.45, 13.44; 0, 19.01; -13.43, 13.43; -19.03, 0; "
            "-13.44, -13.45; 0, -19.00; 13.44, -13.43 mm"
        },
    ),
    Calculator(
        name="conformance",
        title=Message("Conformity with limits, given the uncertainty of measurement"),
        inputs=Conformance,
        outputs={
            "probability": Output(_RATIO, Message("Probability that it conforms")),
            "verdict": Output(None, Message("Verdict at that risk")),
            "risk": Output(_RATIO, Message("Chance that it does not conform")),
            "guard_band": Output(None, Message("Guard band, one-sided")),
            "accept_from": Output(None, Message("Proven from")),
            "accept_to": Output(None, Message("Proven up to")),
        },
        compute=_conformance,
        formula="p = Phi((upper - y)/u) - Phi((lower - y)/u); conforms from 1 - risk, does not "
        "conform up to risk, else not proven",
        source="JCGM 106:2012, 7.2 to 7.4 and 8.3; ISO 14253-1",
        validity=Message("What is known of the true value is normal about the measured one."),
        example={"value": "38.09", "uncertainty": "0.01", "lower": "38", "upper": "38.15"},
    ),
    Calculator(
        name="acceptance-risk",
        title=Message("Risks of rejecting a good part and accepting a bad one"),
        inputs=AcceptanceRisk,
        outputs={
            "out_of_limits": Output(_RATIO, Message("Parts out of limits")),
            "consumer_risk": Output(_RATIO, Message("Bad, and accepted")),
            "producer_risk": Output(_RATIO, Message("Good, and rejected")),
            "acceptance_limit": Output(None, Message("Acceptance limit for the risk wanted")),
            "guard_band": Output(None, Message("Guard band that takes")),
            "guarded_producer_risk": Output(_RATIO, Message("Good, and rejected, at that limit")),
        },
        compute=_acceptance,
        formula="R_C = int over bad parts g(x) P(accept | x) dx; R_P = int over good parts "
        "g(x) P(refuse | x) dx",
        source="JCGM 106:2012, 9.5",
        validity=Message("Measurement errors are normal and independent of the part."),
        example={
            "mean": "1",
            "spread": "0.5",
            "law": "gamma",
            "uncertainty": "0.25",
            "upper": "2",
            "maximum_risk": "0.001",
        },
    ),
    Calculator(
        name="uncertainty-budget",
        title=Message("Combined uncertainty of a measurement"),
        inputs=UncertaintyBudget,
        outputs={
            "value": Output(None, Message("Result")),
            "combined": Output(None, Message("Combined standard uncertainty")),
            "effective_degrees": Output(None, Message("Effective degrees of freedom")),
            "coverage_factor": Output(None, Message("Coverage factor")),
            "expanded": Output(None, Message("Expanded uncertainty")),
            "second_order": Output(
                None, Message("Combined, with second-order terms of the formula")
            ),
            "contributions": Output(None, Message("Each input's part")),
            "shares": Output(_RATIO, Message("Its share of the variance")),
            "largest": Output(None, Message("The largest comes from")),
        },
        compute=_budget,
        formula="u_c^2 = sum (c_i u_i)^2; nu_eff = u_c^4 / sum (u_i^4 / nu_i); U = t u_c; "
        "second order: u_c^2 + sum (c_ij^2 / 2) u_i^2 u_j^2",
        source="JCGM 100:2008, 5.1.2 and its note, G.4.1 and G.6.4",
        validity=Message(
            "Independent inputs; the formula close to straight over their uncertainties."
        ),
        example={
            "formula": "4*v/(3.14159*d^2*l)",
            "names": "v, d, l",
            "values": "90, 38, 80",
            "uncertainties": "0.5, 0.02, 0.3",
            "degrees": "0, 9, 0",
        },
    ),
)
"""The calculators of this family."""
