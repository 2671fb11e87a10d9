"""Replacement ages: the case of one known law must give the published optimum."""

import math
from datetime import date

import numpy as np
import pytest

from wetend.advice.life.exposure import Duty, ledger_of
from wetend.advice.life.learned import learn
from wetend.advice.life.remaining import remaining
from wetend.advice.life.replacement import best_age, open_anyway, repair_or_new, replace_when
from wetend.pump.costs import Costs
from wetend.pump.toml import demo_pump
from wetend.pump.usage import LIFE_PARTS, Usage
from wetend.stats.life.belief import LifeBelief
from wetend.stats.replacement import replacement_age

PUMP = demo_pump("quay-air")
ONE = np.array([1.0])
FIRST, LAST = date(2031, 1, 1), date(2032, 12, 31)


def known(shape: float, scale: float, count: int = 200) -> LifeBelief:
    """A belief that is certain of one Weibull law."""
    median = scale * math.log(2.0) ** (1 / shape)
    return LifeBelief(
        np.full((count, 1), math.log(median)), np.full(count, 1 / shape),
        np.ones(count, dtype=bool), 1.0, 99, float(count),
    )  # fmt: skip


@pytest.mark.parametrize(("shape", "ratio"), [(2.5, 5.0), (2.0, 10.0), (3.5, 4.0)])
def test_one_known_law_gives_the_optimum_of_that_law(shape: float, ratio: float) -> None:
    # second route: the root of the optimum's equation (published cases are tested in stats)
    exact = replacement_age(shape, 1000.0, planned=1.0, unplanned=ratio)
    found = best_age(known(shape, 1000.0), ONE, planned=1.0, unplanned=ratio)
    assert found.age == pytest.approx(exact.age, rel=0.1)  # ages lie on a grid 12 % apart
    assert found.rate == pytest.approx(exact.cost_rate, rel=0.02)
    assert found.saving == pytest.approx(exact.saving, abs=0.03)


def test_no_wearing_out_or_no_dearer_failure_runs_to_failure() -> None:
    assert math.isinf(best_age(known(1.0, 1000.0), ONE, planned=1.0, unplanned=9.0).age)
    assert math.isinf(best_age(known(3.0, 1000.0), ONE, planned=2.0, unplanned=2.0).age)


def advised(costs: Costs):
    usage = Usage(first=FIRST, last=LAST, cycles=110000.0, coating="zinc")
    duty = Duty(200e5, 0.4, "very abrasive")
    book = ledger_of(PUMP, [usage], {"zinc": duty}, first=FIRST, last=LAST)
    fleet = learn([])
    x = fleet.at(book.usual, "")
    when = tuple(replace_when(fleet, x, book.usual, costs, part) for part in LIFE_PARTS)
    return when, remaining("", book.usual, fleet, {})


def test_a_dearer_crew_brings_plans_forward() -> None:
    cheap, _ = advised(Costs(crew_hour=20.0, call_out=0.0))
    dear, _ = advised(Costs(crew_hour=600.0))
    for a, b in zip(cheap, dear, strict=True):
        assert (b.age or math.inf) <= (a.age or math.inf)
        assert b.year_to_failure > a.year_to_failure
        assert b.year <= b.year_to_failure * 1.0001
        assert (b.along or math.inf) <= (b.age or math.inf) * 1.0001
        assert (b.if_double or math.inf) <= (b.if_half or math.inf)
    assert any(w.age is None for w in cheap)
    assert any(w.age for w in dear)


def test_nothing_new_is_worth_replacing_and_a_new_pump_seldom_pays() -> None:
    when, left = advised(Costs())
    fresh = [r for r in left if r.used is not None and r.used < 1.0]
    assert open_anyway(fresh, when) == ()
    assert repair_or_new(when, Costs(new_pump=1e6)).word == "keep repairing"
    assert repair_or_new(when, Costs(new_pump=10.0)).word == "a new pump pays"
