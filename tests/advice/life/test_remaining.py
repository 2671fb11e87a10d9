"""Lives from what was fitted, and what is left of each part."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from wetend.advice.faults.tables import FAULT
from wetend.advice.life.exposure import Duty, ledger_of
from wetend.advice.life.learned import learn
from wetend.advice.life.plot import probability_plot
from wetend.advice.life.prior import MEDIAN_LIFE
from wetend.advice.life.records import Fitted, lives_of
from wetend.advice.life.remaining import PartNow, remaining
from wetend.advice.life.wear_factors import PACKING_LIFE
from wetend.advice.life.what_if import leanings, trend_of, what_would_change
from wetend.advice.reasons import Verdict
from wetend.pump.toml import demo_pump
from wetend.pump.usage import LIFE_PARTS, Usage
from wetend.stats.wear_path import WearPoint

PUMP = demo_pump("quay-air")
FIRST = date(2031, 1, 1)


def day(count: int) -> date:
    return FIRST + timedelta(days=count)


def ledger(days: int = 720, cycles_a_day: float = 150.0):
    usage = Usage(first=FIRST, last=day(days - 1), cycles=cycles_a_day * days, coating="zinc")
    duty = Duty(200e5, 0.4, "very abrasive")
    return ledger_of(PUMP, [usage], {"zinc": duty}, first=FIRST, last=day(days))


def fitted(part, *events):
    return [Fitted(part, day(on), why) for on, why in events]


def lives(*events, sound=()):
    return lives_of("north", "", ledger(), fitted("moving-packings", *events), sound)


def test_every_way_a_life_can_end() -> None:
    found = lives(
        (0, "first fitted"), (100, "worn out"), (250, "planned"), (400, "found worn"),
        (500, "damaged"), sound=[day(320), day(250)],
    )  # fmt: skip
    assert [life.ending for life in found] == ["failed", "going", "between", "going", "going"]
    per_day = found[0].high / 100
    assert [round(life.high / per_day) for life in found] == [100, 150, 150, 100, 220]
    # found worn at 400, fitted at 250, seen sound at 320: it failed between 70 and 150 days' wear
    assert found[2].low / per_day == pytest.approx(70)
    assert found[-1].ended is None


def test_what_was_there_before_the_record_is_no_life() -> None:
    assert [life.fitted for life in lives((300, "worn out"))] == [day(300)]
    assert lives() == ()


def test_an_age_much_guessed_is_an_interval() -> None:
    gap = ledger_of(PUMP, [], {}, first=FIRST, last=day(720))
    found = lives_of("n", "", gap, fitted("rod", (0, "first fitted"), (400, "worn out")), [])
    assert found[0].ending == "between"
    assert found[0].low < found[0].high / 2


def test_repairs_narrow_what_is_left() -> None:
    book = ledger()
    now = {"moving-packings": PartNow(lives((700, "worn out"))[-1])}

    def width(repairs) -> float:
        left = remaining("", book.usual, learn(lives(*repairs)), now)
        packings = next(r for r in left if r.part == "moving-packings")
        return packings.time.high / packings.time.low

    some = [(0, "first fitted"), *((n, "worn out") for n in range(90, 720, 90))]
    assert width(some) < 0.6 * width([])


def test_learning_on_from_what_was_known_is_learning_anew() -> None:
    """A part's lives changed, another's not, and then the sites: each way as with nothing kept."""
    first = lives((0, "first fitted"), (90, "worn out"))
    rod = lives_of("north", "", ledger(), fitted("rod", (0, "first fitted"), (300, "worn out")), ())
    more = lives((0, "first fitted"), (90, "worn out"), (200, "worn out"))
    away = tuple(replace(life, site=site) for life, site in zip(rod, ("a", "b"), strict=True))
    known = learn([*first, *rod])
    for after in ([*more, *rod], [*first, *away], [*first, *rod]):
        onward, anew = learn(after, before=known), learn(after)
        for part in LIFE_PARTS:
            ours, theirs = onward.beliefs[part], anew.beliefs[part]
            assert np.array_equal(ours.coefficients, theirs.coefficients)
            assert np.array_equal(ours.scales, theirs.scales)
    kept = learn([*more, *rod], before=known)
    assert kept.said["rod"] is known.said["rod"]
    assert kept.beliefs["moving-packings"] is not known.beliefs["moving-packings"]


def test_all_parts_are_told_and_the_same_seed_tells_the_same() -> None:
    book, fleet = ledger(), learn(lives((0, "first fitted"), (90, "worn out")))
    a, b = remaining("", book.usual, fleet, {}), remaining("", book.usual, fleet, {})
    assert [r.part for r in a] == list(LIFE_PARTS)
    assert [r.time for r in a] == [r.time for r in b]
    for r in a:
        assert 0 <= r.time.low <= r.time.middle <= r.time.high
        assert r.strokes.middle / r.volume.middle == pytest.approx(
            2 / (PUMP.displacement * 0.93),
            rel=1e-6,  # months are kept to seven digits
        )


def test_measured_wear_near_its_limit_leaves_little() -> None:
    book = ledger()
    life = lives_of("n", "", book, fitted("cylinder", (0, "first fitted")), [])[0]
    fleet = learn([life])
    limit = PUMP.cylinder.wear_limit
    worn = PartNow(life, (WearPoint(life.high, 0.95 * limit, 0.01 * limit),), limit)
    plain = remaining("", book.usual, fleet, {"cylinder": PartNow(life)})
    measured = remaining("", book.usual, fleet, {"cylinder": worn})
    at = LIFE_PARTS.index("cylinder")
    assert measured[at].time.high < 0.2 * plain[at].time.middle
    assert measured[at].measured
    # 5 % of the limit left at the rate seen: 5/95 of 720 days, to the clouds of the pace
    assert measured[at].time.middle / 86400 == pytest.approx(720 * 5 / 95, rel=0.2)


def test_ever_sooner_is_seen_and_few_are_not_judged() -> None:
    assert trend_of([1.0, 2.0, 3.0], 4.0).verdict is Verdict.NOT_PROVEN
    # where a power-law process of shape 3 is expected to have its repairs
    told = trend_of([1500 * ((i + 0.5) / 10) ** (1 / 3) for i in range(10)], 1500)
    assert told.verdict is Verdict.WATCH
    assert "Something is wearing" in told.why
    # times of the NIST/SEMATECH e-Handbook, section 8.4.5.2
    later = trend_of([5, 40, 43, 175, 389, 712, 747, 795, 1299, 1478], 1500)
    assert later.word == "no trend"
    assert later.chance == pytest.approx(0.18, abs=0.01)


def test_changes_are_factors_and_slow_is_kind() -> None:
    changes = what_would_change(ledger().usual, learn([]))
    assert len(changes) == 5
    assert all(c.factor.low < c.factor.middle < c.factor.high for c in changes)
    assert all(c.factor.middle > 1 for c in changes)


def test_a_worn_part_leans_the_fault_its_way() -> None:
    book = ledger()
    fleet = learn([])
    old = lives_of("n", "", book, fitted("static-packings", (0, "first fitted")), [])[0]
    left = remaining("", book.usual, fleet, {"static-packings": PartNow(old)})
    lean = leanings(left)
    assert lean[FAULT["static-packings"]] > lean[FAULT["foot-valve"]]
    assert all(1 / 3 <= value <= 3 for value in lean.values())


def test_points_of_the_plot_rise_and_lie_by_the_band() -> None:
    own = lives((0, "first fitted"), *((n, "worn out") for n in range(80, 700, 80)))
    fleet = learn(own)
    plot = probability_plot(fleet, "moving-packings", fleet.past(own[0]), per_wear=1.0)
    shares = [p.failed for p in plot.points]
    assert shares == sorted(shares)
    assert plot.failures == 8
    inside = [
        np.interp(p.life, plot.lives, plot.low) - 0.15
        <= p.failed
        <= np.interp(p.life, plot.lives, plot.high) + 0.15
        for p in plot.points
    ]
    # all eight failed at one age; the staircase is one step, the law a curve through it
    assert any(inside)


def test_parts_of_a_depot_know_of_one_another() -> None:
    """Nozzles that last a third of what is assumed shorten the forecast of packings never seen."""
    book = ledger(days=140)
    expected = PACKING_LIFE * MEDIAN_LIFE["nozzle"] / book.usual.wear
    ends = np.arange(1, 9) * int(expected / 3)  # every 17 days
    spent = [(0, "first fitted"), *((int(n), "worn out") for n in ends)]
    seen = learn(lives_of("north", "", book, fitted("nozzle", *spent), ()))
    nothing = learn([])

    def packings(fleet):
        left = remaining("", book.usual, fleet, {})
        return next(r for r in left if r.part == "moving-packings")

    before, after = packings(nothing), packings(seen)
    assert 0.3 < after.time.middle / before.time.middle < 0.6
    assert "no failure" in after.because
    assert "mostly the rough prior" in before.because
    assert before.prior_share == pytest.approx(1.0, abs=0.1)
    assert after.prior_share < 0.6
