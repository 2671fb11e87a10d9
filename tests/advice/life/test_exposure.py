"""Exposure by hand sums: each way of entering use, gaps, and what is more direct."""

from datetime import date

import pytest

from wetend.advice.life.exposure import FILLING, LOST, TRIGGER, Duty, duty_with, ledger_of
from wetend.advice.life.wear_factors import CLASS_FACTOR
from wetend.pump.toml import demo_coatings, demo_pump
from wetend.pump.usage import Usage

PUMP = demo_pump("quay-air")
DUTIES = {"zinc": Duty(160e5, 0.25, "very abrasive", 2e-4)}
FIRST, LAST = date(2031, 1, 1), date(2031, 5, 1)  # 120 days


def ledger(*usages: Usage):
    return ledger_of(PUMP, usages, DUTIES, first=FIRST, last=LAST)


def use(**given) -> Usage:
    return Usage(first=FIRST, last=date(2031, 4, 30), coating="zinc", **given)


def test_cycles_by_hand() -> None:
    lived = ledger(use(cycles=12000)).between(FIRST, LAST)
    # 2 S n p k, S = 80 mm
    assert lived.wear == pytest.approx(2 * 0.08 * 12000 * 160e5 * CLASS_FACTOR["very abrasive"])
    assert lived.cycles == pytest.approx(12000)
    assert lived.shares["very abrasive"] == pytest.approx(1.0)
    assert lived.known == 1.0
    assert lived.pressure == pytest.approx(160e5)


def test_litres_hours_and_area_come_to_cycles() -> None:
    each = PUMP.displacement * FILLING
    assert ledger(use(pumped=1.0)).between(FIRST, LAST).cycles == pytest.approx(1.0 / each)
    hours = ledger(use(at_work=100 * 3600.0)).between(FIRST, LAST)
    assert hours.cycles == pytest.approx(100 * 3600 * TRIGGER * 0.25)
    area = ledger(use(area=500.0)).between(FIRST, LAST)
    assert area.pumped == pytest.approx(500 * 2e-4)


def test_wet_film_of_a_coating() -> None:
    zinc = next(c for c in demo_coatings() if c.key == "zinc-primer")
    build = duty_with(PUMP, zinc).build
    assert build == pytest.approx(zinc.dry_film / zinc.volume_solids / (1 - LOST))


def test_the_more_direct_reading_counts_whatever_the_order() -> None:
    counted, guessed = use(cycles=9000), use(at_work=400 * 3600.0)
    for both in ((counted, guessed), (guessed, counted)):
        assert ledger(*both).between(FIRST, LAST).cycles == pytest.approx(9000)


def test_gaps_are_filled_with_the_mean_day_and_widen_it() -> None:
    half = Usage(first=FIRST, last=date(2031, 3, 1), coating="zinc", cycles=6000)  # 60 days
    lived = ledger(half)
    whole = lived.between(FIRST, LAST)
    assert whole.cycles == pytest.approx(12000)
    assert whole.known == pytest.approx(0.5)
    assert lived.between(FIRST, date(2031, 3, 2)).spread < 0.15 < whole.spread
    assert whole.shares["very abrasive"] == pytest.approx(1.0)  # the coating goes on
    assert ledger().between(FIRST, LAST).spread > whole.spread
    assert ledger().between(FIRST, LAST).known == 0.0


def test_parts_of_the_time_add_up() -> None:
    book = ledger(use(cycles=12000))
    middle = date(2031, 2, 14)
    a, b = book.between(FIRST, middle), book.between(middle, LAST)
    assert a.wear + b.wear == pytest.approx(book.between(FIRST, LAST).wear)
    assert book.between(LAST, FIRST).wear <= 0.0
