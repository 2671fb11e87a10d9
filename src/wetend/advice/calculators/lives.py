"""Calculators for lives, repairs, replacement and stock."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field

from wetend.advice.calculators.calculator import Calculator, Outcome, Output, Value
from wetend.stats.life.fit import fit_life, weibull_parameters
from wetend.stats.lifetimes import lifetimes
from wetend.stats.renewal import renewals, weibull_mean
from wetend.stats.repair_trend import fit_power_law, laplace
from wetend.stats.replacement import replacement_age
from wetend.stats.stock import critical_stock, fill_probability, spares_for_fill
from wetend.units.message import Message
from wetend.units.noun import Noun
from wetend.units.quantity import Ratio, unit_of

_NUMBER = unit_of(Ratio)
Age = Annotated[float, Field(ge=1e-6, le=1e12)]
_FEW = Message("Fewer than five failures: the intervals are wide and optimistic.")
_ANY_UNIT = Message("In any one unit of life: litres, strokes, hours or days")


class WeibullInput(Noun):
    """Ages at failure, and ages of parts still running."""

    failures: tuple[Age, ...] = Field(min_length=2, max_length=2000, description=_ANY_UNIT)
    censored: tuple[Age, ...] = Field(
        default=(), max_length=5000, description=Message("Ages of parts still running")
    )


class RepairTimes(Noun):
    """Times of repair of one pump since new."""

    times: tuple[Age, ...] = Field(min_length=2, max_length=2000, description=_ANY_UNIT)
    end: float | None = Field(
        default=None,
        ge=1e-6,
        le=1e12,
        description=Message("End of watching; blank: the last repair"),
    )


class ReplacementInput(Noun):
    """A Weibull life and two costs."""

    shape: float = Field(ge=0.2, le=20)
    scale: float = Field(ge=1e-6, le=1e12, description=_ANY_UNIT)
    planned_cost: float = Field(ge=1e-6, le=1e12, description=Message("When replaced by plan"))
    unplanned_cost: float = Field(
        ge=1e-6, le=1e12, description=Message("When it fails at work, standing crew included")
    )


class RenewalsInput(Noun):
    """A Weibull life and a time."""

    shape: float = Field(ge=0.2, le=20)
    scale: float = Field(ge=1e-6, le=1e12, description=_ANY_UNIT)
    time: float = Field(ge=0, le=1e12, description=Message("In the same unit"))


class SparesInput(Noun):
    """A demand and its service level."""

    demand: float = Field(
        ge=0, le=1e6, description=Message("Expected number used over the time to cover")
    )
    fill: Ratio = Field(
        ge=1e-6, le=0.999999999, description=Message("Probability of not running out")
    )


class CriticalInput(Noun):
    """Costs of running short and of holding, and the demand."""

    shortage_cost: float = Field(ge=1e-6, le=1e12, description=Message("Each one short"))
    holding_cost: float = Field(ge=1e-6, le=1e12, description=Message("Each one left over"))
    mean: float = Field(ge=0, le=1e9, description=Message("Expected demand of the period"))
    deviation: float | None = Field(
        default=None, ge=0, le=1e9, description=Message("Its standard deviation; blank: Poisson")
    )


def _weibull(given: WeibullInput) -> Outcome:
    fit = fit_life(lifetimes(given.failures, going=given.censored))
    p = weibull_parameters(fit)
    few = len(given.failures) < 5
    return Outcome(
        {
            "shape": p.shape, "scale": p.scale, "log_likelihood": fit.log_likelihood,
            "shape_interval": p.shape_interval, "scale_interval": p.scale_interval,
            "mean": fit.mean(),
        },
        cautions=(_FEW,) if few else (),
    )  # fmt: skip


def _power_law(given: RepairTimes) -> Outcome:
    fit = fit_power_law(given.times, given.end)
    trend = laplace(given.times, given.end)
    return Outcome(
        {
            "shape": fit.shape, "scale": fit.scale, "mtbf": fit.mtbf(),
            "unbiased_shape": fit.unbiased_shape, "laplace": trend.statistic,
            "laplace_p": trend.p_value,
        }
    )  # fmt: skip


def _replacement(given: ReplacementInput) -> Outcome:
    best = replacement_age(
        given.shape, given.scale, planned=given.planned_cost, unplanned=given.unplanned_cost
    )
    costs: dict[str, Value] = {
        "cost_rate": best.cost_rate, "run_to_failure": best.run_to_failure,
    }  # fmt: skip
    if math.isinf(best.age):
        return Outcome(
            {**costs, "advice": Message("Run to failure: planned replacement does not pay.")}
        )
    advice = Message(
        "Replace at this age; it saves {saving:.0%} of running to failure.", saving=best.saving
    )
    return Outcome({"age": best.age, **costs, "advice": advice})


def _renewals(given: RenewalsInput) -> Outcome:
    return Outcome(
        {"expected": renewals(given.shape, given.scale, given.time),
         "mean_life": weibull_mean(given.shape, given.scale)}
    )  # fmt: skip


def _spares(given: SparesInput) -> Outcome:
    stock = spares_for_fill(given.demand, given.fill)
    return Outcome({"stock": float(stock), "fill": fill_probability(given.demand, stock)})


def _critical(given: CriticalInput) -> Outcome:
    level = critical_stock(
        shortage=given.shortage_cost, holding=given.holding_cost, mean=given.mean,
        deviation=given.deviation,
    )  # fmt: skip
    return Outcome({"stock": level.stock, "cost": level.cost})


def _numbers(**labels: str) -> dict[str, Output]:
    return {name: Output(_NUMBER, label) for name, label in labels.items()}


CALCULATORS: tuple[Calculator, ...] = (
    Calculator(
        name="weibull-fit",
        title=Message("Weibull life from failures and parts still running"),
        inputs=WeibullInput,
        outputs=_numbers(
            shape=Message("shape (beta)"),
            scale=Message("scale (eta)"),
            log_likelihood=Message("log likelihood"),
            shape_interval=Message("shape, 95 % interval"),
            scale_interval=Message("scale, 95 % interval"),
            mean=Message("mean life"),
        ),
        compute=_weibull,
        formula="maximise sum ln f(t failed) + sum ln R(t going), R(t) = exp(-(t/eta)^beta)",
        source="NIST/SEMATECH e-Handbook of Statistical Methods, section 8.4.1.3",
        validity=Message("Failures of one kind, independent; those still going are a fair sample."),
        example={
            "failures": "54,187,216,240,244,335,361,373,375,386",
            "censored": "500,500,500,500,500,500,500,500,500,500",
        },
    ),
    Calculator(
        name="power-law-process",
        title=Message("Trend in the repairs of one pump"),
        inputs=RepairTimes,
        outputs=_numbers(
            shape=Message("shape (beta; above 1: more and more often)"),
            scale=Message("lambda"),
            mtbf=Message("time between repairs now"),
            unbiased_shape=Message("shape, unbiased"),
            laplace=Message("Laplace's statistic"),
            laplace_p=Message("p-value, without a trend"),
        ),
        compute=_power_law,
        formula="beta = n / sum ln(T/t_i), lambda = n / T^beta, MTBF = 1/(lambda beta T^(beta-1))",
        source="L. H. Crow, AMSAA TR-138 (1975); MIL-HDBK-189",
        validity=Message(
            "One repairable pump watched from new; repairs quick against the time between."
        ),
        example={"times": "5,40,43,175,389,712,747,795,1299,1478", "end": "1500"},
    ),
    Calculator(
        name="replacement-age",
        title=Message("Best age for planned replacement"),
        inputs=ReplacementInput,
        outputs={
            **_numbers(
                age=Message("replace at age"),
                cost_rate=Message("cost per unit of life"),
                run_to_failure=Message("the same, run to failure"),
            ),
            "advice": Output(None, Message("advice")),
        },
        compute=_replacement,
        formula="h(T) int_0^T R - F(T) = Cp/(Cf - Cp)",
        source="Barlow & Proschan, Mathematical Theory of Reliability (1965), ch. 4 (from memory)",
        validity=Message("Weibull life; a new part is as good as the last new one."),
        example={"shape": "2.5", "scale": "1000", "planned_cost": "1", "unplanned_cost": "5"},
    ),
    Calculator(
        name="renewals",
        title=Message("Expected number of replacements by a time"),
        inputs=RenewalsInput,
        outputs=_numbers(expected=Message("expected renewals"), mean_life=Message("mean life")),
        compute=_renewals,
        formula="M(t) = F(t) + int_0^t M(t-x) dF(x)",
        source="H. C. Tijms, A First Course in Stochastic Models (2003), section 8.1",
        validity=Message("Weibull life, each failed part replaced at once by a new one."),
        example={"shape": "2.1", "scale": "1.129", "time": "1.5"},
    ),
    Calculator(
        name="spares-stock",
        title=Message("Spares to hold for a fill probability"),
        inputs=SparesInput,
        outputs=_numbers(
            stock=Message("spares to hold"), fill=Message("probability of not running out")
        ),
        compute=_spares,
        formula="smallest s with P(N <= s) >= fill, N Poisson",
        source="University of Southampton, edshare 6210, stock level example",
        validity=Message("Parts fail independently of each other over the time covered."),
        example={"demand": "4.32", "fill": "95 %"},
    ),
    Calculator(
        name="critical-stock",
        title=Message("Stock that balances shortage and holding costs"),
        inputs=CriticalInput,
        outputs=_numbers(
            stock=Message("stock at the start"), cost=Message("expected cost of the period")
        ),
        compute=_critical,
        formula="F(S) = p/(p + h); cost (p + h) sigma phi(z) for normal demand",
        source="L. V. Snyder, Z.-J. M. Shen, Fundamentals of Supply Chain Theory, example 4.3",
        validity=Message(
            "One period, one order; demand normal, or Poisson where no deviation is given."
        ),
        example={"shortage_cost": "0.70", "holding_cost": "0.18", "mean": "50", "deviation": "8"},
    ),
)
