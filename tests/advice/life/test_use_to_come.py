"""The use to come: runs of a coating, its return, seasons; and when a part's life is used up."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from wetend.advice.life.exposure import Duty, Exposure, ledger_of, row_of, with_duty
from wetend.advice.life.use_to_come import use_to_come
from wetend.pump.toml import demo_pump
from wetend.pump.usage import Usage

PUMP = demo_pump("quay-air")
FIRST = date(2030, 1, 1)
DUTIES = {"mild": Duty(200e5, 0.4, "mild"), "zinc": Duty(200e5, 0.4, "very abrasive")}
COUNT = 2000
NONE = np.zeros((COUNT, 6))
"""Coefficients: each class is as its factor says."""


def day_of(coatings: list[str], litres: list[float] | None = None) -> Exposure:
    """A mean day after months of 30 days with these coatings, a cubic metre each."""
    used = [
        Usage(first=FIRST + timedelta(days=30 * n), last=FIRST + timedelta(days=30 * n + 29),
              pumped=1.0 if litres is None else litres[n], coating=each)
        for n, each in enumerate(coatings)
    ]  # fmt: skip
    last = FIRST + timedelta(days=30 * len(coatings))
    return ledger_of(PUMP, used, DUTIES, first=FIRST, last=last).usual


def covariates(day: Exposure) -> np.ndarray:
    return np.array([1.0, *row_of(day)])


def test_with_one_coating_and_steady_work_the_mean_day_goes_on() -> None:
    day = day_of(["mild"] * 24)
    left = np.full(COUNT, 100 * day.wear)
    found = use_to_come(day, COUNT).until(left, covariates(day), NONE)
    assert np.median(found.days) == pytest.approx(100, rel=0.02)
    assert np.median(found.pumped) == pytest.approx(100 * day.pumped, rel=0.001)
    assert found.pumped / found.cycles == pytest.approx(day.pumped / day.cycles, rel=1e-5)
    # a third of the months tell next to nothing more of the pace: 15 % drift, 8 % readings
    assert 0.15 < np.log(found.days).std() < 0.35


def test_a_coating_now_and_then_spreads_the_month_to_come() -> None:
    """One month in five wears twelve times as fast: the other four say nothing of its coming."""
    day = day_of((["mild"] * 4 + ["zinc"]) * 7 + ["mild"])
    mild = day_of(["mild"] * 36)
    left = np.full(COUNT, 60 * mild.wear)  # two months of mild, or five days of zinc
    found = use_to_come(day, COUNT).until(left, covariates(day), NONE)
    gone = float((found.days < 30).mean())
    assert gone == pytest.approx(1 / 4, abs=0.12)  # of four milds one; weights by season and age
    assert np.quantile(found.days, 0.8) > 31


def test_a_run_of_a_coating_goes_on_as_runs_did() -> None:
    runs = (["mild"] * 6 + ["zinc"] * 6) * 3
    use = use_to_come(day_of(runs), COUNT)
    names = np.array(runs)
    share = (names[use.path[:, 0]] == "zinc").mean()
    assert share == pytest.approx(5 / 6, abs=0.12)
    alternating = use_to_come(day_of(["mild", "zinc"] * 18), COUNT)
    assert (np.array(["mild", "zinc"] * 18)[alternating.path[:, 0]] == "mild").mean() > 0.95


def test_the_season_comes_again() -> None:
    litres = [2.0 if n % 12 < 6 else 0.2 for n in range(36)]
    use = use_to_come(day_of(["mild"] * 36, litres), COUNT)
    first, later = (np.diff(use.poured)[:, ahead].mean() for ahead in (2, 8))
    assert first > 1.5 * later


def test_what_a_coating_truly_does_counts_in_its_months() -> None:
    """Learned: very abrasive coatings wear e times as fast as their factor says."""
    day = day_of(["zinc"] * 12)
    learned = NONE.copy()
    learned[:, 3] = -1.0
    left, mild = np.full(COUNT, 50 * day.wear), np.array([1.0, 0, 0, 0, *row_of(day)[3:]])
    use = use_to_come(day, COUNT)
    plain = use.until(left, mild, NONE).days
    assert use.until(left, mild, learned).days == pytest.approx(plain / np.e, rel=1e-4)


def test_nothing_left_is_now_and_the_longest_goes_on_at_the_mean() -> None:
    day = day_of(["mild"] * 12)
    use, x = use_to_come(day, COUNT), covariates(day)
    assert use.until(np.zeros(COUNT), x, NONE).days == pytest.approx(0.0)
    near, far = (use.until(np.full(COUNT, n * day.wear), x, NONE) for n in (2000.0, 200000.0))
    assert np.median(far.days / near.days) == pytest.approx(100.0, rel=0.1)
    assert np.median(far.pumped / near.pumped) == pytest.approx(100.0, rel=0.1)


def test_another_coating_put_in_is_what_every_month_to_come_has() -> None:
    day = with_duty(day_of(["mild", "zinc"] * 6), PUMP, DUTIES["mild"])
    assert day.months is not None
    wear, cycles = day.months[:, 0], day.months[:, 2]
    assert wear == pytest.approx(2 * PUMP.stroke * 200e5 * cycles, rel=1e-5)
    assert not day.months[:, 3:6].any()


def test_where_no_use_is_known_the_mean_day_goes_on_at_any_pace() -> None:
    bare = ledger_of(PUMP, [], {}, first=FIRST, last=FIRST + timedelta(days=90)).usual
    assert bare.months is None
    found = use_to_come(bare, COUNT).until(np.full(COUNT, 100 * bare.wear), covariates(bare), NONE)
    assert np.log(found.days).std() > 0.5
    assert np.array_equal(
        use_to_come(bare, 9, seed=3).pace, use_to_come(replace(bare), 9, seed=3).pace
    )
