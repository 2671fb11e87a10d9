"""Stock levels: demand against renewal theory, sharing between pumps, orders."""

import math
import re
from datetime import date

import numpy as np
import pytest
from scipy import stats

from wetend.advice.life.exposure import Duty, ledger_of
from wetend.advice.life.learned import FleetLives, learn
from wetend.advice.life.remaining import DAY, remaining
from wetend.advice.stores.shelf import Shelf, Stocked, Used, fits
from wetend.advice.stores.stock import (
    PumpStores,
    StockPlan,
    chosen,
    expected_uses,
    key_of,
    stock_plan,
)
from wetend.materials.ball_seat import BallSeatMaterial, ball_seat_materials
from wetend.pump.catalogue import CatalogueItem
from wetend.pump.costs import Costs
from wetend.pump.description import Pump
from wetend.pump.toml import demo_pump
from wetend.pump.usage import LIFE_PARTS, Usage
from wetend.stats.life.belief import LifeBelief
from wetend.stats.renewal import renewals

FIRST, LAST = date(2031, 1, 1), date(2031, 12, 31)
AIR, HYDRAULIC = demo_pump("quay-air"), demo_pump("yard-hydraulic")


def day_of(pump):
    usage = Usage(first=FIRST, last=LAST, cycles=50000.0, coating="zinc")
    duty = {"zinc": Duty(200e5, 0.4, "very abrasive")}
    return ledger_of(pump, [usage], duty, first=FIRST, last=LAST)


def served(pump, fleet, name="one"):
    pump = pump.model_copy(update={"name": name, "key": name})
    book = day_of(pump)
    return PumpStores(pump, book.usual, remaining("", book.usual, fleet, {}))


def test_demand_of_a_known_law_is_the_renewal_function() -> None:
    # second route: the renewal function of the stats layer (Tijms' table is its test)
    shape, scale, count = 2.1, 1.129, 40000
    belief = LifeBelief(
        np.full((count, 1), np.log(scale * np.log(2) ** (1 / shape))), np.full(count, 1 / shape),
        np.ones(count, dtype=bool), 1.0, 9, float(count),
    )  # fmt: skip
    fleet = FleetLives((), {"rod": belief}, ())
    day = day_of(AIR).usual
    life = stats.weibull_min.rvs(shape, scale=scale, size=count, random_state=3)
    days = 1.5 / day.wear * 86400.0
    used = expected_uses(fleet, "rod", np.array([1.0]), life, days, day)
    assert used == pytest.approx(renewals(shape, scale, 1.5), rel=0.02)  # 3 standard errors


def test_like_pumps_share_and_unlike_do_not() -> None:
    fleet = learn([])
    pumps = [
        served(AIR, fleet, "one"),
        served(AIR, fleet, "two"),
        served(HYDRAULIC, fleet, "three"),
    ]
    plan = stock_plan(fleet, pumps, Costs(), lead=90 * 86400.0, fill=0.95)
    packings = [line for line in plan.lines if line.part == "moving-packings"]
    assert sorted(len(line.fits) for line in packings) == [1, 2]
    alone = stock_plan(fleet, pumps[:1], Costs(), lead=90 * 86400.0, fill=0.95)
    one = next(line for line in alone.lines if line.part == "moving-packings")
    both = next(line for line in packings if len(line.fits) == 2)
    assert both.demand == pytest.approx(2 * one.demand, rel=1e-9)


def test_levels_rise_with_fill_and_lead_and_orders_fill_the_shelf() -> None:
    fleet = learn([])
    pumps = [served(AIR, fleet, f"p{i}") for i in range(6)]

    def total(fill: float, days: float, have=None) -> int:
        plan = stock_plan(fleet, pumps, Costs(), lead=days * 86400, fill=fill, have=have)
        assert all(line.fill >= fill for line in plan.lines)
        return sum(line.order for line in plan.lines)

    assert total(0.8, 30) <= total(0.95, 30) <= total(0.99, 30)
    assert total(0.95, 30) <= total(0.95, 120)
    plan = stock_plan(fleet, pumps, Costs(), lead=120 * 86400.0, fill=0.95)
    first = next(line for line in plan.lines if line.hold)
    held = stock_plan(fleet, pumps, Costs(), lead=120 * 86400.0, fill=0.95,
                      have={first.key: first.hold})  # fmt: skip
    assert next(line for line in held.lines if line.key == first.key).order == 0
    assert sum(line.count for line in plan.orders) == sum(line.order for line in plan.lines)


def test_keys_are_short_ids_and_every_part_says_what_it_fits() -> None:
    keys = {key_of(part, fits(AIR, part)) for part in LIFE_PARTS}
    assert len(keys) == len(LIFE_PARTS)
    assert all(k.isascii() and len(k) <= 80 for k in keys)


def _of(material: str) -> Pump:
    valve = AIR.foot_valve.model_copy(update={"ball_material": material})
    return AIR.model_copy(update={"foot_valve": valve})


@pytest.mark.parametrize("row", tuple(ball_seat_materials()), ids=lambda row: row.key)
def test_a_material_is_spelled_out_with_its_grade_after_it(row: BallSeatMaterial) -> None:
    """As the table of materials calls it."""
    said = fits(_of(row.key), "foot-ball")
    assert said.endswith(f"mm, {row.title}")
    assert row.key not in said
    assert not re.search(r"\d[a-z]", said)  # a grade is written 440C, cobalt by its share


def test_a_material_not_in_the_table_is_said_as_it_was_given() -> None:
    assert fits(_of("bearing-steel-52100"), "foot-ball").endswith("bearing steel 52100")


def test_of_a_reversible_seat_every_second_face_worn_takes_a_new_one() -> None:
    # second route: with turned faces of one law the seats used are those of lives twice drawn
    shape, scale, count = 2.1, 1.129, 40000
    belief = LifeBelief(
        np.full((count, 1), np.log(scale * np.log(2) ** (1 / shape))), np.full(count, 1 / shape),
        np.ones(count, dtype=bool), 1.0, 9, float(count),
    )  # fmt: skip
    fleet, day = FleetLives((), {"foot-seat": belief}, ()), day_of(AIR).usual
    rng = np.random.default_rng(5)
    faces = scale * rng.weibull(shape, (12, count))
    days = 3.0 / day.wear * 86400.0
    ends = np.cumsum(faces, axis=0)
    for turned, taken in ((False, ends[1::2]), (True, ends[0::2])):
        used = expected_uses(
            fleet, "foot-seat", np.array([1.0]), faces[0], days, day, reversible=True,
            turned=turned,
        )  # fmt: skip
        assert used == pytest.approx((taken <= 3.0).sum() / count, rel=0.03)
    plain = expected_uses(fleet, "foot-seat", np.array([1.0]), faces[0], days, day)
    unknown = expected_uses(
        fleet, "foot-seat", np.array([1.0]), faces[0], days, day, reversible=True
    )
    assert unknown == pytest.approx(plain / 2)


def item(number: str, *parts: str, pumps: tuple[str, ...] = ("one",), **more) -> CatalogueItem:
    return CatalogueItem.model_validate(
        {"number": number, "name": number.lower(), "parts": parts, "pumps": pumps, **more}
    )


def planned(*items: Stocked, pumps: int = 6, used: tuple[Used, ...] = ()) -> StockPlan:
    fleet = learn([])
    names = ("one", "two", "three", "four", "five", "six")[:pumps]
    own = [served(AIR, fleet, name) for name in names]
    shelf = Shelf(items, used, {each.pump.key: each.pump for each in own})
    return stock_plan(fleet, own, Costs(), lead=120 * 86400.0, fill=0.95, shelf=shelf)


def line_of(plan: StockPlan, part: str):
    (line,) = [each for each in plan.lines if each.part == part]
    return line


def test_an_item_is_for_the_pumps_of_its_build_that_take_its_size() -> None:
    plan = planned(Stocked(item("B-1", "foot-ball", pumps=("one",), price=33.0, pack=3)))
    ball = line_of(plan, "foot-ball")
    assert len(ball.fits) == 6
    assert (ball.number, ball.price) == ("B-1", 11.0)
    (order,) = [o for o in plan.orders if o.number]
    assert (order.number, order.pack, order.price) == ("B-1", 3, 33.0)
    assert 3 * order.count >= ball.order > 3 * (order.count - 1)
    assert line_of(plan, "rod") in plan.missing or not line_of(plan, "rod").hold


def test_an_item_of_another_build_does_not_cover_a_pump_of_the_same_size() -> None:
    fleet = learn([])
    other = AIR.model_copy(update={"build": "another maker's"})
    own = [served(AIR, fleet, "one"), served(other, fleet, "two")]
    shelf = Shelf((Stocked(item("P-1", "moving-packings")),), (),
                  {each.pump.key: each.pump for each in own})  # fmt: skip
    plan = stock_plan(fleet, own, Costs(), lead=90 * 86400.0, fill=0.95, shelf=shelf)
    packings = [line for line in plan.lines if line.part == "moving-packings"]
    assert {(line.number, line.fits) for line in packings} == {("P-1", ("one",)), ("", ("two",))}


def test_a_kit_is_ordered_where_it_costs_no_more_than_its_parts() -> None:
    singles = [Stocked(item("S-1", "static-packings", price=90.0)),
               Stocked(item("M-1", "moving-packings", price=120.0))]  # fmt: skip
    parts = ("static-packings", "moving-packings", "soft-rings")
    cheap = planned(*singles, Stocked(item("K-1", *parts, price=150.0)))
    dear = planned(*singles, Stocked(item("K-1", *parts, price=400.0)))
    unpriced = planned(*singles, Stocked(item("K-1", *parts)))
    kits = {o.number: o for o in cheap.orders}
    assert kits["K-1"].count >= 1
    assert kits["K-1"].cost <= kits["K-1"].instead
    assert "K-1" not in {o.number for o in (*dear.orders, *unpriced.orders)}
    assert {"S-1", "M-1"} <= {o.number for o in dear.orders}
    assert cheap.order_cost <= dear.order_cost


def test_what_is_there_is_what_was_counted_less_what_was_fitted_since() -> None:
    counted = Stocked(item("B-1", "foot-ball"), 3, 1, date(2031, 5, 4), "m")
    used = (
        Used("one", "foot-ball", date(2031, 5, 3), "z"),  # before the count, entered late
        Used("one", "foot-ball", date(2031, 5, 4), "a"),  # that day, before it was counted
        Used("two", "foot-ball", date(2031, 5, 4), "z"),  # that day, after it was counted
        Used("one", "foot-ball", date(2031, 5, 6), "n"),
        Used("elsewhere", "foot-ball", date(2031, 5, 6), "n"),  # a pump not served from here
        Used("one", "rod", date(2031, 5, 6), "n"),
    )
    line = line_of(planned(counted, used=used), "foot-ball")
    assert (line.have, line.van) == (2, 0)  # the van's one went first
    never = line_of(planned(Stocked(item("B-1", "foot-ball")), used=used), "foot-ball")
    assert never.have == 0


def test_an_items_own_lead_time_counts() -> None:
    slow = line_of(planned(Stocked(item("B-1", "foot-ball", lead=300 * 86400.0))), "foot-ball")
    quick = line_of(planned(Stocked(item("B-1", "foot-ball", lead=5 * 86400.0))), "foot-ball")
    assert slow.demand > 10 * quick.demand


@pytest.mark.parametrize("wait", [10.0, 90.0])
def test_what_is_held_costs_least_and_a_shortage_costs_the_wait(wait: float) -> None:
    # Erlang's loss by SciPy's Poisson law, every stock tried; the share of the price held against
    # is common practice, no source. A flat chance never costs less.
    costs, fleet, year = Costs(), learn([]), 365.25 * 86400.0
    plan = stock_plan(fleet, [served(AIR, fleet)], costs, lead=wait * 86400.0)
    flat = stock_plan(fleet, [served(AIR, fleet)], costs, lead=wait * 86400.0, fill=0.95)
    assert len(plan.lines) > 5
    assert flat.year >= plan.year == pytest.approx(plan.year_best)
    assert plan.all_fill == pytest.approx(math.prod(line.fill for line in plan.lines))
    for line in plan.lines:
        shortage = costs.express + costs.part_wait / 3600.0 * costs.crew_hour
        assert line.shortage == shortage
        tried = []
        for stock in range(40):
            lost = stats.poisson.pmf(stock, line.demand) / stats.poisson.cdf(stock, line.demand)
            held = 0.25 * costs.price(line.part) * (stock - line.demand * (1 - lost))
            tried.append(held + shortage * line.demand * lost * year / line.lead)
        assert line.hold == line.balance == tried.index(min(tried))
        assert line.year == pytest.approx(min(tried))


def test_a_van_is_filled_by_the_newsvendor_for_one_more_journey() -> None:
    # The newsvendor's critical ratio, by SciPy's Poisson law.
    costs, fleet = Costs(), learn([])
    plan = stock_plan(fleet, [served(AIR, fleet)], costs, lead=7 * 86400.0, van=True)
    shortage = costs.call_out + costs.fetch_wait / 3600.0 * costs.crew_hour
    for line in plan.lines:
        holding = costs.price(line.part) * 0.25 * 7 / 365.25
        assert line.hold == stats.poisson.ppf(shortage / (shortage + holding), line.demand)


def test_what_is_on_order_is_not_ordered_again_and_packs_have_a_least() -> None:
    there = item("B-1", "foot-ball", least=5)
    none = planned(Stocked(there, 0, 0, LAST))
    assert next(o for o in none.orders if o.number == "B-1").count == 5
    short = line_of(none, "foot-ball").order
    coming = planned(Stocked(there, 0, 0, LAST, "", short))
    assert line_of(coming, "foot-ball").order == 0
    assert not [o for o in coming.orders if o.number == "B-1"]


def fleet_of(count: int) -> list[Pump]:
    """Pumps of two builds, one in ten of the second."""
    return [
        (HYDRAULIC if n % 10 == 0 else AIR).model_copy(
            update={"key": f"pump-{n:04d}", "name": f"Pump {n}"}
        )
        for n in range(count)
    ]  # fmt: skip


def test_of_many_pumps_an_even_choice_of_each_kind_is_reckoned() -> None:
    pumps = fleet_of(2000)
    keys = chosen(pumps, Shelf(), 100)
    assert 98 <= len(keys) <= 102
    seconds = [k for k in keys if int(k[-4:]) % 10 == 0]
    assert len(seconds) == 10
    assert min(keys) < "pump-0050"
    assert max(keys) > "pump-1950"
    assert chosen(pumps[:100], Shelf(), 100) == {p.key for p in pumps[:100]}
    rare = [*pumps, AIR.model_copy(update={"key": "odd", "build": "of its own"})]
    assert "odd" in chosen(rare, Shelf(), 100)


def test_the_demand_of_pumps_not_reckoned_is_that_of_their_kind() -> None:
    """Ten alike, of which one is reckoned, use ten times what one does."""
    fleet = learn([])
    one = served(AIR, fleet, "a")
    others = [
        PumpStores(AIR.model_copy(update={"key": f"b{n}", "name": f"B{n}"}), one.day, ())
        for n in range(9)
    ]  # fmt: skip
    alone = stock_plan(fleet, [one], Costs(), lead=60 * DAY, fill=0.95)
    together = stock_plan(fleet, [one, *others], Costs(), lead=60 * DAY, fill=0.95)
    assert [line.demand for line in together.lines] == pytest.approx(
        [10 * line.demand for line in alone.lines]
    )
    assert all(len(line.pumps) == 10 for line in together.lines)


def test_of_many_pumps_a_part_fits_some_are_named_and_the_rest_counted() -> None:
    fleet = learn([])
    one = served(AIR, fleet, "a")
    rows = [one] + [
        PumpStores(AIR.model_copy(update={"key": f"b{n:03d}", "name": f"B{n}"}), one.day, ())
        for n in range(1200)
    ]  # fmt: skip
    line = stock_plan(fleet, rows, Costs(), lead=60 * DAY, fill=0.95).lines[0]
    assert line.fits_text.endswith("and 1,189 more")
    assert len(line.fits_text) < 120
