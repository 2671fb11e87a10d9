"""What is said of how parts end: by wear, at random, early; and of a pump harder on its parts."""

from __future__ import annotations

import numpy as np

from wetend.advice.life.endings import how_it_ends
from wetend.advice.life.prior import prior_of
from wetend.stats.life.belief import LifeBelief, believe
from wetend.stats.life.unlike_pumps import OwnWay
from wetend.stats.lifetimes import lifetimes

PRIOR = prior_of("moving-packings", ())
MEDIAN = float(np.exp(PRIOR.means[0]))
ROW = [0.0] * (len(PRIOR.means) - 1)


def after(lives: np.ndarray) -> LifeBelief:
    return believe(lifetimes(lives, failed_x=[ROW] * len(lives)), PRIOR)


def said(belief: LifeBelief, own: OwnWay | None = None) -> str:
    return " ".join(how_it_ends(belief, own))


def test_lives_alike_end_by_wear_and_lives_of_any_length_at_random() -> None:
    rng = np.random.default_rng(2)
    assert "by wear" in said(after(MEDIAN * rng.weibull(4.0, 40)))
    assert "at random" in said(after(MEDIAN * rng.weibull(0.9, 60)))
    assert said(after(MEDIAN * rng.weibull(4.0, 3))) == ""


def test_many_that_fail_in_the_first_days_are_said_to_be_badly_fitted() -> None:
    rng = np.random.default_rng(2)
    lives = MEDIAN * rng.weibull(3.0, 40)
    assert "first days" not in said(after(lives))
    lives[:10] = 0.02 * MEDIAN * rng.exponential(size=10)
    assert "fail in the first days" in said(after(lives))


def test_a_pump_that_is_harder_on_its_parts_is_named() -> None:
    few, no = after(np.array([MEDIAN])), np.zeros(100)
    assert said(few, OwnWay(no, no, no)) == ""
    assert "from one repair to the next" in said(few, OwnWay(no, no - 0.6, no))
    assert "than in the depot's others" in said(few, OwnWay(no - 0.4, no, no + 0.3))
