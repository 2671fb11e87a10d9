"""Rates by group with exact intervals: chance is not blamed, what is real is seen."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from wetend.advice.life.questions import back_by, by_month, coating_class, pareto, rates_by
from wetend.advice.life.records import Life

PLAIN_ROW = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def life(site: str, pumped: float, *, failed: bool = True, on: date = date(2031, 1, 9)) -> Life:
    return Life("moving-packings", "p", site, date(2030, 1, 1), on if failed else None,
                "failed" if failed else "going", 1.0, 1.0, 0.1, PLAIN_ROW, pumped)  # fmt: skip


def test_a_site_that_eats_packings_is_named_and_its_rate_counts_what_goes_on_too() -> None:
    lives = [life("bad", 1.0)] * 12 + [life("good", 10.0)] * 3 + [life("good", 60.0, failed=False)]
    rows = {row.name: row for row in rates_by(lives, lambda each: each.site)}
    assert rows["bad"].stands == "more"
    assert rows["good"].stands == "less"
    assert rows["good"].rate == pytest.approx(3 / 90)
    # 3 failures: Garwood's interval is 0.619 to 8.767 (from memory)
    assert (rows["good"].low * 90, rows["good"].high * 90) == pytest.approx(
        (0.619, 8.767), abs=2e-3
    )


def test_of_sites_all_alike_hardly_any_is_blamed() -> None:
    """200 depots of eight sites with one rate: at most one in twenty names any."""
    rng = np.random.default_rng(5)
    blamed = 0
    for _ in range(200):
        lives = [
            each for n in range(8)
            for each in (life(f"s{n}", 10.0, failed=False),
                         *[life(f"s{n}", 0.0)] * int(rng.poisson(4)))
        ]  # fmt: skip
        blamed += any(row.stands != "no sign" for row in rates_by(lives, lambda e: e.site))
    assert blamed <= 10


def test_one_group_alone_is_compared_with_nothing() -> None:
    (row,) = rates_by([life("only", 2.0)], lambda each: each.site)
    assert row.stands == "no sign"
    assert rates_by([], lambda each: each.site) == ()


def test_who_had_few_come_back_by_chance_is_not_named() -> None:
    rows = {r.who: r for r in back_by({"Ann": [True] * 2 + [False] * 8, "Ben": [False] * 10})}
    assert rows["Ann"].stands == rows["Ben"].stands == "no sign"
    many = {r.who: r for r in back_by({"Ann": [True] * 20 + [False] * 20, "Ben": [False] * 40})}
    assert many["Ann"].stands == "more"


def test_months_without_failures_are_there_and_parts_are_ranked() -> None:
    lives = [life("a", 1.0), life("a", 1.0, on=date(2031, 3, 2)),
             replace(life("a", 1.0, on=date(2031, 3, 3)), part="rod")]  # fmt: skip
    assert by_month(lives) == (("2031-01", 1), ("2031-02", 0), ("2031-03", 2))
    assert pareto(lives) == (("moving-packings", 2), ("rod", 1))


def test_the_class_of_a_life_is_what_wore_it_most() -> None:
    assert coating_class(life("a", 1.0)) == "mild"
    assert coating_class(replace(life("a", 1.0), row=(0.2, 0.1, 0.6, 0, 0, 0))) == "very abrasive"
