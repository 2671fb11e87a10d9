"""Fleet plan and its play: known laws against renewal theory, and the same under any cut."""

import math
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from scipy.integrate import quad

from wetend.advice.fleet.arrays import Chunk, Policy, Prices
from wetend.advice.fleet.month import (
    KIT,
    OPENS,
    FleetPump,
    ages_of,
    by_site,
    chunks_of,
    laws_of,
    month,
    outcomes,
    policies_of,
    prices_of,
)
from wetend.advice.fleet.simulation import play
from wetend.advice.life.exposure import Duty, ledger_of
from wetend.advice.life.learned import learn
from wetend.advice.life.records import since_first
from wetend.advice.life.remaining import PartNow
from wetend.advice.reasons import Verdict
from wetend.pump.costs import Costs
from wetend.pump.toml import demo_pump
from wetend.pump.usage import LIFE_PARTS, Usage
from wetend.stats.renewal import renewals

FIRST, LAST = date(2031, 1, 1), date(2031, 12, 31)
PUMP = demo_pump("quay-air")
FLEET = learn([])


def pump(name: str, cycles: float, site: str = "quay") -> FleetPump:
    usage = Usage(first=FIRST, last=LAST, cycles=cycles, coating="zinc")
    duty = {"zinc": Duty(200e5, 0.4, "very abrasive")}
    book = ledger_of(PUMP, [usage], duty, first=FIRST, last=LAST)
    parts = tuple(PartNow(since_first(name, site, book, part)) for part in LIFE_PARTS)
    return FleetPump(name, name.title(), site, book.usual, FLEET.at(book.usual, site), parts)


PUMPS = [pump("idle", 2000.0), pump("busy", 90000.0), pump("middling", 25000.0, "yard")]


def test_sites_with_as_much_at_stake_stand_by_name() -> None:
    one = replace(month(PUMPS, FLEET, Costs(), today=LAST)[0], verdict=Verdict.WATCH)
    lines = [replace(one, site=site, key=key) for site, key in
             (("yard", "a"), ("", "b"), ("quay", "c"))]  # fmt: skip
    kept = replace(one, site="berth", verdict=Verdict.KEEP)
    assert [site for site, _ in by_site([*lines, kept])] == ["no site given", "quay", "yard"]


def test_the_busiest_comes_first_and_sites_are_together() -> None:
    lines = month(PUMPS, FLEET, Costs(), today=LAST)
    assert lines[0].key == "busy"
    assert lines[0].verdict in (Verdict.REPLACE, Verdict.WATCH)
    assert lines[0].chance > lines[-1].chance
    assert all(d.due is None or d.due >= LAST for d in lines)
    sites = dict(by_site(lines))
    assert all(d.site == site for site, own in sites.items() for d in own)
    longer = {d.key: d.chance for d in month(PUMPS, FLEET, Costs(), today=LAST, days=90)}
    assert all(longer[d.key] > d.chance for d in lines)
    assert month([], FLEET, Costs(), today=LAST) == ()


def known(count: int, replicas: int, shape: float, policy: Policy, days: float, *, prices=None):
    """One part of a known Weibull law (scale 1 wear, 0.01 wear a day) in many pumps."""
    plain = Prices(
        part=np.array([1.0]), labour=np.zeros(1), failure=np.array([4.0]),
        standing=np.array([3600.0]), visit=0.0, opens=np.array([True]),
    )  # fmt: skip
    median = math.log(math.log(2.0) ** (1 / shape))
    return Chunk(
        seeds=tuple(np.random.SeedSequence(5).spawn(count)), pace=np.full(count, 0.01),
        pace_spread=np.zeros(count), ages=np.zeros((count, 1)), age_spread=np.zeros((count, 1)),
        location=np.full((count, 1, replicas), median), scale=np.full((1, replicas), 1 / shape),
        weibull=np.ones((1, replicas), dtype=bool), policies=(policy,), prices=prices or plain,
        days=days,
    )  # fmt: skip


def rule(count: int, plan: float = math.inf) -> Policy:
    never = np.full((count, 1), math.inf)
    return Policy("rule", np.full((count, 1), plan), never, np.full(count, math.inf),
                  np.array([False]))  # fmt: skip


@pytest.mark.parametrize("shape", [1.0, 2.1, 4.0])
def test_failures_played_are_the_renewal_function(shape: float) -> None:
    # second route: renewal function of the stats layer, itself held to Tijms' table 8.1.1
    played = play(known(400, 25, shape, rule(400), 250.0))
    expected = renewals(shape, 1.0, 2.5)
    error = played.failures[0].std() / 100.0
    assert played.failures[0].mean() == pytest.approx(expected, abs=4 * error)
    assert played.cost[0].mean() == pytest.approx(5.0 * played.failures[0].mean())
    assert played.crew_time[0].sum() == pytest.approx(3600.0 * played.failures[0].sum())


def test_cost_of_an_age_rule_is_the_published_rate() -> None:
    # long run: the cost rate of age replacement (Barlow and Proschan 1965)
    played = play(known(200, 10, 2.5, rule(200, plan=0.493), 40000.0))
    kept = math.exp(-(0.493**2.5))
    lived, _ = quad(lambda t: math.exp(-(t**2.5)), 0.0, 0.493)
    rate = (kept + 5.0 * (1.0 - kept)) / lived
    assert played.cost[0].mean() / 400.0 == pytest.approx(rate, rel=0.01)


def test_a_service_comes_by_its_clock() -> None:
    policy = Policy("s", np.full((50, 1), math.inf), np.full((50, 1), math.inf),
                    np.full(50, 0.1), np.array([True]))  # fmt: skip
    played = play(known(50, 8, 6.0, policy, 205.0))
    assert played.visits[0].mean() == pytest.approx(20, abs=0.2)  # 2.05 wear by 0.1
    assert played.failures[0].mean() < 0.1


def test_the_cut_of_the_fleet_changes_nothing_and_the_seed_does() -> None:
    costs = Costs()
    pumps = [pump(f"p{i}", 5000.0 + 3000.0 * i) for i in range(7)]
    policies = policies_of(pumps, FLEET, costs)
    laws, ages = laws_of(FLEET, 8), ages_of(pumps, FLEET)

    def told(size: int, seed: int = 3):
        chunks = chunks_of(pumps, laws, ages, policies, prices_of(costs), days=400.0, seed=seed,
                           size=size)  # fmt: skip
        return outcomes([p.name for p in policies], [play(c) for c in chunks])

    assert told(1) == told(3) == told(100)
    assert told(3) != told(3, seed=4)
    failing, serviced, forecast = told(100)
    assert failing.visits.high == 0
    assert failing.against.high == 0
    assert forecast.crew_time.middle < failing.crew_time.middle
    assert serviced.visits.middle > 0
    packings = "moving-packings"
    assert serviced.parts[packings] > failing.parts[packings]


def test_a_part_played_by_itself_comes_to_the_same_as_among_the_others() -> None:
    # second route: the same play event by event, over more lives than are drawn at first
    costs = Costs()
    pumps = [pump(f"p{i}", 5000.0 + 60000.0 * i) for i in range(5)]
    chunk, = chunks_of(
        pumps, laws_of(FLEET, 6), ages_of(pumps, FLEET), policies_of(pumps, FLEET, costs),
        prices_of(costs), days=3000.0, seed=4,
    )  # fmt: skip
    quick = play(chunk)
    slow = play(replace(chunk, policies=tuple(replace(p, alone=None) for p in chunk.policies)))
    assert quick.parts.max() > 64
    for name in ("crew_time", "failures", "visits", "parts"):
        assert (getattr(quick, name) == getattr(slow, name)).all()
    assert quick.cost == pytest.approx(slow.cost, rel=1e-12)


def test_what_the_crew_changes_itself_opens_nothing() -> None:
    by_part = dict(zip(LIFE_PARTS, OPENS, strict=True))
    assert not by_part["nozzle"]
    assert by_part["rod"]
    assert dict(zip(LIFE_PARTS, KIT, strict=True))["moving-packings"]
