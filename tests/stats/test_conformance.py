"""Conformity: published risks, decisions at their edges, and a second route by drawing."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from examples import costly
from hypothesis import example, given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ndtr, owens_t
from scipy.stats import gamma, lognorm, norm

from wetend.errors import BadInput, NoAnswer
from wetend.stats.conformance import (
    Decision,
    acceptance_limit,
    conformance_probability,
    decide,
    guard_band,
    risks,
)

BEARINGS = gamma(4, scale=0.25)
"""JCGM 106:2012, 9.5.4: radial error of bearing balls, um, limit 2 um, measured to 0.25 um."""


def test_ball_bearing_example_of_jcgm_106() -> None:
    # JCGM 106:2012, 9.5.4: 4.2 % out of tolerance, consumer's risk 0.8 %; printed to two figures
    assert 1 - BEARINGS.cdf(2.0) == pytest.approx(0.042, abs=0.0005)
    plain = risks(BEARINGS, 0.25, (-math.inf, 2.0))
    assert plain.consumer == pytest.approx(0.008, abs=0.0005)
    # guard band 0.328 um, acceptance limit 1.67 um for a consumer's risk of 0.1 %
    limit = acceptance_limit(BEARINGS, 0.25, 2.0, 0.001)
    assert limit == pytest.approx(1.67, abs=0.005)
    assert 2.0 - limit == pytest.approx(0.328, abs=0.0005)
    guarded = risks(BEARINGS, 0.25, (-math.inf, 2.0), (-math.inf, limit))
    assert guarded.consumer == pytest.approx(0.001, rel=1e-6)
    assert guarded.producer > plain.producer


@pytest.mark.parametrize(
    ("limit", "uncertainty", "guard", "consumer", "producer"),
    [
        (2.0, 0.25, 1.0, 0.008, 0.015),
        (2.5, 0.25, 1.0, 0.0025, None),
        (2.0, 0.5, 0.91, 0.008, 0.066),
    ],
)
def test_false_accept_and_reject_of_calibrations(
    limit: float, uncertainty: float, guard: float, consumer: float, producer: float | None
) -> None:
    """Deaver's curves and NCSLI RP-19, as expected in the tests of sandialabs/suncal.

    Products spread by 1, limits 2 or 2.5 either side; a test uncertainty ratio of 4 is a standard
    uncertainty of a quarter, of 2 a half. Printed to one to three figures.
    """
    found = risks(norm(), uncertainty, (-limit, limit), (-guard * limit, guard * limit))
    assert found.consumer == pytest.approx(consumer, rel=0.03)
    if producer is not None:
        assert found.producer == pytest.approx(producer, abs=0.0005)


def test_risks_agree_with_drawn_items() -> None:
    random = np.random.default_rng(7)
    true = random.gamma(4, 0.25, 400_000)
    seen = true + random.normal(0, 0.25, true.size)
    found = risks(BEARINGS, 0.25, (0.0, 2.0), (0.0, 1.9))
    inside, accepted = true <= 2.0, (seen <= 1.9) & (seen >= 0.0)
    assert found.consumer == pytest.approx(float((accepted & ~inside).mean()), abs=5e-4)
    assert found.producer == pytest.approx(float((~accepted & inside).mean()), abs=2e-3)


def figures(least: float, most: float) -> st.SearchStrategy[float]:
    """Numbers of up to six decimals."""
    return st.floats(least, most).map(lambda v: round(v, 6))


@pytest.mark.parametrize(
    ("low", "high", "seen", "u", "consumer", "producer"),
    [
        (0.025015, 4.874615, (-6.27849508, 11.17812508), 0.11516, 0.50997904534025, 0.0),
        (-3.756211, 2.238889, (-12.30222605, 10.78490405), 0.406889, 0.012667822329235, 0.0),
        (-1.825262, 4.020138, (-1.42543664, 3.62031264), 3.896821, 0.01196870898921,
         0.52360136124268),
    ],
)  # fmt: skip
def test_risks_to_thirteen_figures(low, high, seen, u, consumer, producer) -> None:
    """The integrals of JCGM 106:2012, 9.5 by mpmath 1.4.1 at 30 digits, once."""
    found = risks(norm(), u, (low, high), seen)
    assert found.consumer == pytest.approx(consumer, abs=1e-13)
    assert found.producer == pytest.approx(producer, abs=1e-13)


@costly(37)
@given(
    low=figures(-4, 1), width=figures(0.01, 6), u=figures(1e-3, 10), guard=figures(-2, 0.45),
    one_sided=st.booleans(),
)  # fmt: skip
@example(low=0.0, width=1.0, u=0.5, guard=1e-6, one_sided=False)
def test_risks_of_normal_items_are_those_of_the_normal_law_in_two_dimensions(
    low: float, width: float, u: float, guard: float, one_sided: bool
) -> None:
    """True and seen are jointly normal: a second route by Owen's T (scipy.special.owens_t; D. B.
    Owen, Ann. Math. Statist. 27 (1956) 1075, from memory).

    Drawn to six decimals, as people type: the second route takes quotients of the limits, which
    lose their figures below 1e-300.
    """
    low, high = (-math.inf if one_sided else low), low + width
    seen_low, seen_high = low + guard * width, high - guard * width
    slant = 1 / math.hypot(1, u)

    def below(true: float, seen: float) -> float:
        """Chance that both lie below."""
        if -math.inf in (true, seen):
            return 0.0
        h, k = true, seen * slant
        first = owens_t(h, (k - slant * h) / (h * u * slant)) if h else 0.25 * np.sign(k)
        second = owens_t(k, (h - slant * k) / (k * u * slant)) if k else 0.25 * np.sign(h)
        apart = 0.5 if h * k < 0 or (h * k == 0 and h + k < 0) else 0.0
        if h == k == 0:
            return 0.25 + math.asin(slant) / math.tau
        return 0.5 * (ndtr(h) + ndtr(k)) - first - second - apart

    both = (below(high, seen_high) - below(low, seen_high)
            - below(high, seen_low) + below(low, seen_low))  # fmt: skip
    accepted = ndtr(seen_high * slant) - ndtr(seen_low * slant)
    inside = ndtr(high) - ndtr(low)
    found = risks(norm(), u, (low, high), (seen_low, seen_high))
    assert found.consumer == pytest.approx(accepted - both, abs=5e-12)
    assert found.producer == pytest.approx(inside - both, abs=5e-12)


@pytest.mark.parametrize("prior", [gamma(4, scale=0.25), gamma(0.7, scale=1.0), lognorm(0.9)])
@pytest.mark.parametrize("u", [0.02, 0.25, 3.0])
def test_risks_by_parts_and_from_the_density(prior, u: float) -> None:
    """The integrals as JCGM 106:2012, 9.5 writes them, by adaptive quadrature."""

    def accepted(true: float) -> float:
        return float(ndtr((1.9 - true) / u) - ndtr((0.1 - true) / u))

    def share(part, *ends: float) -> float:
        return sum(
            quad(part, a, b, epsabs=1e-13, epsrel=1e-11, limit=400)[0] for a, b in pairwise(ends)
        )

    far = float(prior.ppf(1 - 1e-13))
    low, high = 0.2, 2.0
    near = [high + u * k for k in (1, 3, 9) if high + u * k < far]
    consumer = share(lambda t: prior.pdf(t) * accepted(t), high, *near, far)
    consumer += share(lambda t: prior.pdf(t) * accepted(t), 0.0, 1e-9, 1e-5, 1e-2, 0.1, low)
    producer = share(lambda t: prior.pdf(t) * (1 - accepted(t)), low, 0.3, 1.0, 1.8, high)
    found = risks(prior, u, (low, high), (0.1, 1.9))
    assert found.consumer == pytest.approx(consumer, abs=1e-9)
    assert found.producer == pytest.approx(producer, abs=1e-9)


@given(value=st.floats(-5, 5), u=st.floats(1e-3, 5), low=st.floats(-4, 0), width=st.floats(0, 8))
def test_probability_of_the_whole_is_the_sum_of_its_parts(
    value: float, u: float, low: float, width: float
) -> None:
    high = low + width
    within = conformance_probability(value, u, lower=low, upper=high)
    below = 1 - conformance_probability(value, u, lower=low)
    above = 1 - conformance_probability(value, u, upper=high)
    assert within + below + above == pytest.approx(1.0, abs=1e-12)
    assert 0.0 <= within <= 1.0


def test_a_value_known_exactly_is_in_or_out() -> None:
    assert conformance_probability(2.0, 0.0, upper=2.0) == 1.0
    assert conformance_probability(2.1, 0.0, upper=2.0) == 0.0
    assert conformance_probability(1.0, 0.0, lower=1.0, upper=2.0) == 1.0
    assert conformance_probability(0.9, 0.0, lower=1.0) == 0.0


def test_few_degrees_of_freedom_make_less_sure() -> None:
    # t of 2.132 at 4 degrees of freedom, one-sided 95 %: JCGM 100:2008, table G.2 (90 % column)
    some = conformance_probability(0.0, 1.0, upper=2.132, degrees=4)
    assert some == pytest.approx(0.95, abs=1e-4)
    assert some < conformance_probability(0.0, 1.0, upper=2.132)


def test_decision_at_its_edges() -> None:
    assert decide(0.95) is Decision.CONFORMS
    assert decide(0.05) is Decision.FAILS
    assert decide(0.0501) is decide(0.9499) is Decision.UNDECIDED
    with pytest.raises(BadInput):
        decide(0.5, accept=0.1, reject=0.9)


def test_guard_band_and_probability_say_the_same() -> None:
    """A value on the guarded limit conforms with just the probability the guard is for."""
    guard = guard_band(0.02, confidence=0.95)
    assert guard == pytest.approx(1.645 * 0.02, rel=2e-4)  # ISO 14253-1:2017 default, from memory
    on_it = conformance_probability(10.0 - guard, 0.02, upper=10.0)
    assert on_it == pytest.approx(0.95, abs=1e-12)


def test_bad_limits_are_refused_in_a_sentence() -> None:
    with pytest.raises(BadInput, match="A limit is needed"):
        conformance_probability(1.0, 0.1)
    with pytest.raises(BadInput, match="above the upper"):
        conformance_probability(1.0, 0.1, lower=2.0, upper=1.0)
    with pytest.raises(BadInput, match="negative"):
        conformance_probability(1.0, -0.1, lower=2.0)
    with pytest.raises(BadInput, match="above zero"):
        risks(BEARINGS, 0.0, (0.0, 2.0))
    with pytest.raises(NoAnswer, match="guard band"):
        acceptance_limit(BEARINGS, 0.25, 2.0, 0.5)
