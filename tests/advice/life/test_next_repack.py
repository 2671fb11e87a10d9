"""The next repack: the first of two sets, its day, its chance, and its words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from wetend.advice.life.exposure import FILLING, Duty, Exposure, ledger_of, with_duty
from wetend.advice.life.learned import learn
from wetend.advice.life.next_repack import (
    NextRepack,
    come_back_text,
    do_text,
    next_repack,
    volume_span_text,
    volume_text,
    when_text,
)
from wetend.advice.life.remaining import RemainingLife, interval_of, remaining
from wetend.advice.reasons import Interval
from wetend.pump.readings import SignOff
from wetend.pump.toml import demo_pump
from wetend.pump.usage import Usage
from wetend.telling.reader import Reader

PUMP = demo_pump("quay-air")
TODAY = date(2031, 6, 1)
DAY = 86400.0


def book() -> Exposure:
    duty = Duty(200e5, 0.4, "mild")
    used = Usage(first=date(2031, 1, 1), last=TODAY, pumped=4.0, coating="any")
    return ledger_of(PUMP, [used], {"any": duty}, first=used.first, last=TODAY).usual


def packings(day: Exposure, static: np.ndarray, moving: np.ndarray) -> list[RemainingLife]:
    """What is left of both sets, given the days left to each."""
    fresh = {r.part: r for r in remaining("", day, learn([]), {})}
    out = []
    for part, days in (("static-packings", static), ("moving-packings", moving)):
        out.append(replace(fresh[part], times=days * DAY, pumped=days * day.pumped))
    return out


def told(day: Exposure, static: np.ndarray, moving: np.ndarray) -> NextRepack:
    found = next_repack(day, packings(day, static, moving), today=TODAY)
    assert found is not None
    return found


def test_it_is_the_first_of_the_two_sets_to_go() -> None:
    day = book()
    static, moving = np.linspace(100, 200, 801), np.linspace(300, 90, 801)
    found = told(day, static, moving)
    first = np.minimum(static, moving)
    litres = interval_of(first, day.pumped)
    assert found.volume.middle == pytest.approx(litres.middle)
    assert found.volume.low == pytest.approx(litres.low)
    assert found.first == ("static-packings" if np.mean(static < moving) > 0.5 else
                           "moving-packings")  # fmt: skip


def test_one_in_ten_and_one_in_two_are_worn_by_the_days_named() -> None:
    day = book()
    days = np.linspace(1.0, 1000.0, 4000)
    found = told(day, days, days + 1.0)
    for day_named, share in ((found.by, 0.1), (found.half, 0.5)):
        assert day_named is not None
        gone = np.mean(days <= (day_named - TODAY).days + 1)
        assert gone == pytest.approx(share, abs=0.005)
    assert found.soon == pytest.approx(np.mean(days <= 28.0))


def test_without_any_record_it_is_the_priors_sixty_kilometres_at_200_bar() -> None:
    # by hand: 60 km of rod at 200 bar, mild, 0.160 m a cycle: 375,000 cycles of 0.0844 L are
    # 31,600 L for half the sets of moving packings (common practice, no source)
    day = book()
    (left,) = (r for r in remaining("", day, learn([]), {}) if r.part == "moving-packings")
    by_hand = 60e3 / (2 * PUMP.stroke) * PUMP.displacement * FILLING
    assert left.volume.middle == pytest.approx(by_hand, rel=0.12)


def test_an_empty_record_says_that_it_is_the_prior_and_a_day_assumed() -> None:
    ledger = ledger_of(PUMP, [], {}, first=TODAY - timedelta(days=1), last=TODAY)
    left = remaining("", ledger.usual, learn([]), {})
    found = next_repack(ledger.usual, left, today=TODAY)
    assert found is not None
    said = " ".join(found.basis)
    assert "is not recorded" in said
    assert "30 L a day is assumed" in said
    assert "prior alone" in said


def test_another_coating_from_now_on_wears_by_its_own_class() -> None:
    # as many litres a day; a very abrasive coating wears twelve times as fast at one pressure and
    # pace (the class factors are common practice, no source)
    mild = book()
    hard = with_duty(mild, PUMP, Duty(mild.pressure, mild.rate, "very abrasive"))
    assert hard.pumped == mild.pumped
    assert hard.wear / mild.wear == pytest.approx(12.0, rel=1e-6)


@pytest.mark.parametrize(
    ("low", "by", "worn", "act", "words"),
    [
        (21, 30, 0.0, "Check the packings by 1 July.",
         ("4 % fail within four weeks; one in ten by 1 July, one in two by 9 September; "
         "likely 3 weeks to 10 months")),
        (21, 230, 0.0, "Check the packings by 17 January 2032.",
         ("4 % fail within four weeks; one in ten by 17 January 2032, one in two by "
         "9 September; likely 3 weeks to 10 months")),
        (0, 0, 0.3, "Check the packings at the next stop.",
         ("4 % fail within four weeks; 30 % failed already, one in two by 9 September; "
         "likely any time up to 10 months")),
        (0, 0, 0.6, "Repack at the next stop.",
         "4 % fail within four weeks; 60 % failed already; likely any time up to 10 months"),
        (9, None, 0.0, "No repack to plan.",
         ("4 % fail within four weeks; one in ten not within a lifetime; "
         "likely 9 days to 10 months")),
    ],
)  # fmt: skip
def test_what_to_do_comes_first_then_chance_and_days_then_the_interval(
    low: int, by: int | None, worn: float, act: str, words: str
) -> None:
    early = None if by is None else TODAY + timedelta(days=by)
    repack = NextRepack(
        Interval(0.5341, 40.05, 123.4), Interval(low * DAY, 100 * DAY, 300 * DAY), TODAY,
        early, TODAY + timedelta(days=100), worn, 0.04, "moving-packings", (),
    )  # fmt: skip
    assert do_text(repack) == act
    assert when_text(repack) == words
    assert volume_text(repack) == "40,000 L"  # and not 40,050 L
    assert volume_span_text(repack) == "530 to 120,000 L"
    assert " gal" in Reader("imperial").tell(volume_text(repack))
    line = come_back_text(repack)
    assert line.startswith(act)
    assert SignOff(technician="A", come_back=line).come_back == line  # fits on the sign-off


def test_nothing_to_draw_from_is_no_answer() -> None:
    assert next_repack(book(), [], today=TODAY) is None
