"""Readings against limits: uncertainty of the instrument, probability, verdict, words."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest

from wetend.advice.inspect.instruments import (
    FINER,
    INSTRUMENTS,
    can_take,
    finer_than,
    fit_for,
    standard_uncertainty,
)
from wetend.advice.inspect.limits import Limit, Reading, check
from wetend.advice.reasons import Verdict
from wetend.units.quantity import MFine, unit_of

FINE = unit_of(MFine)


def wear(value: float, instrument: str = "micrometer") -> Reading:
    return Reading("Wear", value, 0.027, "outside", instrument)  # type: ignore[arg-type]


def test_uncertainty_is_the_half_width_over_root_three() -> None:
    # JCGM 100:2008, 4.3.7: evenly spread within plus or minus a
    assert standard_uncertainty("rule", "outside", 0.027) == 0.5e-3 / math.sqrt(3)
    assert standard_uncertainty("micrometer", "outside", 0.027) == 5e-6 / math.sqrt(3)


def test_what_is_judged_by_feel_is_less_sure_the_deeper_it_is() -> None:
    shallow = standard_uncertainty("fingernail", "depth", 20e-6)
    assert standard_uncertainty("fingernail", "depth", 80e-6) > shallow


def test_an_instrument_that_cannot_take_it_counts_as_the_eye() -> None:
    assert not can_take("feeler", "outside")
    assert standard_uncertainty("feeler", "outside", 0.027) == standard_uncertainty(
        "eye", "outside", 0.027
    )


@pytest.mark.parametrize("feature", FINER)
def test_finer_instruments_can_take_the_feature_and_get_finer(feature: str) -> None:
    ladder = [standard_uncertainty(i, feature, 60e-6) for i in FINER[feature]]  # type: ignore[index,arg-type]
    assert all(can_take(i, feature) for i in FINER[feature])  # type: ignore[index,arg-type]
    assert ladder == sorted(ladder, reverse=True) or feature == "gap"
    assert set(INSTRUMENTS) >= set(FINER[feature])  # type: ignore[index]
    assert finer_than(0.0, feature, 60e-6) is None  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "verdict"),
    [(40e-6, Verdict.KEEP), (70e-6, Verdict.REPLACE), (60e-6, Verdict.MEASURE_AGAIN),
     (58e-6, Verdict.MEASURE_AGAIN), (55e-6, Verdict.KEEP), (65e-6, Verdict.REPLACE),
     (55.5e-6, Verdict.MEASURE_AGAIN), (64.5e-6, Verdict.MEASURE_AGAIN)],
)  # fmt: skip
def test_verdict_by_probability(value: float, verdict: Verdict) -> None:
    # micrometer: u = 2.887 um, so 1.645 u = 4.75 um either side of the limit is undecided
    # (JCGM 106:2012, 8.3, guard band for 95 %)
    judged = check(wear(value), Limit(FINE, upper=60e-6))
    expected = NormalDist(value, 5e-6 / math.sqrt(3)).cdf(60e-6)
    assert judged.probability == pytest.approx(expected, abs=1e-12)
    assert judged.verdict == verdict


def test_two_limits_share_the_probability() -> None:
    judged = check(wear(0.0), Limit(FINE, lower=-3e-6, upper=3e-6))
    spread = NormalDist(0, 5e-6 / math.sqrt(3))
    assert judged.probability == pytest.approx(spread.cdf(3e-6) - spread.cdf(-3e-6))


def test_too_coarse_an_instrument_is_told_what_to_use_instead() -> None:
    judged = check(wear(30e-6, "rule"), Limit(FINE, upper=60e-6))
    assert judged.verdict == Verdict.MEASURE_AGAIN
    assert "too fine for a rule" in judged.why
    assert "calliper" in judged.why
    assert not fit_for("rule", "outside", value=0.027, limit=60e-6)
    assert fit_for("micrometer", "outside", value=0.027, limit=60e-6)


def test_a_coarse_instrument_still_condemns_what_is_far_gone() -> None:
    assert check(wear(2e-3, "rule"), Limit(FINE, upper=60e-6)).verdict == Verdict.REPLACE


def test_too_near_the_limit_with_a_good_instrument_is_said_so() -> None:
    judged = check(wear(60e-6), Limit(FINE, upper=60e-6))
    assert "too near its limit" in judged.why
    assert judged.probability == pytest.approx(0.5)


def test_the_wrong_instrument_never_decides() -> None:
    judged = check(wear(0.02, "feeler"), Limit(FINE, upper=60e-6))
    assert judged.verdict == Verdict.MEASURE_AGAIN
    assert judged.why == "A feeler can't measure an outside diameter; use a calliper."


def test_the_working_shows_what_went_in() -> None:
    judged = check(wear(40e-6), Limit(FINE, upper=60e-6))
    assert [f.value for f in judged.working.given] == [40e-6, judged.uncertainty, 60e-6]
    assert judged.working.result[0].value == judged.probability
    assert "JCGM 106" in judged.working.source


def test_the_finest_instrument_is_not_told_to_be_used_again_for_a_difference() -> None:
    """A difference of two readings is less sure than one, whatever they are taken with."""
    out = Reading("Out of round", 20e-6, 0.022, "outside", "micrometer", math.sqrt(2))
    judged = check(out, Limit(FINE, upper=20e-6))
    assert judged.verdict == Verdict.MEASURE_AGAIN
    assert "measure it twice more" in judged.why
