"""Stock levels: demand against renewal theory, sharing between pumps, orders."""

import re
from datetime import date

import numpy as np
import pytest
from scipy import stats

from wetend.advice.exposure import Duty, ledger_of
from wetend.advice.life import FleetLives, learn, remaining
from wetend.advice.stores import (
    PumpStores,
    expected_uses,
    fit_key,
    fits,
    key_of,
    order_csv_rows,
    stock_plan,
)
from wetend.materials.ball_seat import BallSeatMaterial, ball_seat_materials
from wetend.pump.costs import Costs
from wetend.pump.description import Pump
from wetend.pump.toml import demo_pump
from wetend.pump.usage import LIFE_PARTS, Usage
from wetend.stats.life_bayes import LifeBelief
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
    rows = order_csv_rows(plan.orders)
    assert rows[0][0] == "item"
    assert sum(float(r[4]) for r in rows[1:]) == pytest.approx(plan.order_cost, abs=0.01)


def test_keys_are_short_ids_and_every_part_says_what_it_fits() -> None:
    keys = {key_of(part, fit_key(AIR, part)) for part in LIFE_PARTS}
    assert len(keys) == len(LIFE_PARTS)
    assert all(k.isascii() or "µ" in k for k in keys)


def _of(material: str) -> Pump:
    valve = AIR.foot_valve.model_copy(update={"ball_material": material})
    return AIR.model_copy(update={"foot_valve": valve})


@pytest.mark.parametrize("row", tuple(ball_seat_materials()), ids=lambda row: row.key)
def test_a_material_is_spelled_out_with_its_grade_after_it(row: BallSeatMaterial) -> None:
    """As the table of materials calls it; its key is a key's, for addresses and order lists."""
    said = fits(_of(row.key), "foot-ball")
    assert said.endswith(f"mm, {row.title}")
    assert row.key not in said
    assert not re.search(r"\d[a-z]", said)  # a grade is written 440C, cobalt by its share
    assert key_of("foot-ball", fit_key(_of(row.key), "foot-ball")).endswith(row.key)


def test_a_material_not_in_the_table_is_said_as_it_was_given() -> None:
    assert fits(_of("bearing-steel-52100"), "foot-ball").endswith("bearing steel 52100")
