r"""What to hold in van and depot: parts shared across pumps, for a fill probability and for cost.

Demand over the time to cover is counted from what is left of every part (failures and their
successors, drawn from the laws believed), and met as a Poisson demand. Two levels are told: the
fewest that are enough with the fill probability wanted, and where shortage and holding balance
(critical ratio; sources in :mod:`wetend.stats.stock`).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.exposure import Exposure
from wetend.advice.life import DAY, FleetLives, RemainingLife
from wetend.materials.ball_seat import ball_seat_materials
from wetend.pump.costs import Costs
from wetend.pump.description import Pump
from wetend.pump.usage import LIFE_PARTS, PART_WORDS, LifePart
from wetend.stats.life_bayes import remaining_lives
from wetend.stats.stock import critical_stock, fill_probability, spares_for_fill
from wetend.units.quantity import Days, Ratio

Floats = NDArray[np.float64]
HOLDING_A_YEAR: Ratio = 0.25
"""Cost of holding a part for a year, of its price: common practice, no source."""
_MOST_AGAIN = 60


@dataclass(frozen=True)
class PumpStores:
    """One pump as the stores see it."""

    pump: Pump
    day: Exposure
    left: tuple[RemainingLife, ...]


@dataclass(frozen=True)
class StockLine:
    """One kind of part to hold."""

    key: str
    part: LifePart
    title: str
    fits: tuple[str, ...]
    """Names of the pumps it fits."""
    demand: float
    """Expected number used over the lead time."""
    hold: int
    """For the fill probability."""
    balance: int
    """Where shortage and holding balance."""
    fill: Ratio
    """Chance of not running out with ``hold``."""
    have: int
    order: int
    price: float
    shortage: float
    """What one short costs."""


@dataclass(frozen=True)
class OrderLine:
    """One line to order."""

    key: str
    title: str
    count: int
    price: float

    @property
    def cost(self) -> float:
        """Of all."""
        return self.count * self.price


@dataclass(frozen=True)
class StockPlan:
    """The stores' whole answer."""

    lines: tuple[StockLine, ...]
    lead: Days
    fill: Ratio
    held_cost: float
    """Price of all that is to be held."""

    @property
    def orders(self) -> tuple[OrderLine, ...]:
        """What to order now."""
        return tuple(
            OrderLine(line.key, line.title, line.order, line.price)
            for line in self.lines
            if line.order > 0
        )

    @property
    def order_cost(self) -> float:
        """Of the whole order."""
        return sum(line.cost for line in self.orders)


def _mm(size: float) -> str:
    return f"{size * 1e3:.3g} mm"


def _spelled(material: str) -> str:
    """A ball's or seat's material as it is called, its grade after it."""
    known = next((row for row in ball_seat_materials() if row.key == material), None)
    return known.title if known else material.replace("-", " ")


def fits(pump: Pump, part: LifePart) -> str:
    """What a part must match, in words."""
    return _fits(pump, part, lambda size, material: f"{size}, {_spelled(material)}")


def fit_key(pump: Pump, part: LifePart) -> str:
    """What a part must match, materials by their keys: pumps that say the same share it."""
    return _fits(pump, part, lambda size, material: f"{size} {material}")


def _fits(pump: Pump, part: LifePart, made_of: Callable[[str, str], str]) -> str:
    foot, piston = pump.foot_valve, pump.piston_valve
    said: dict[LifePart, str] = {
        "static-packings": f"rod {_mm(pump.rod.diameter)}, {pump.static_packings.rings} rings",
        "moving-packings": f"bore {_mm(pump.cylinder.bore)}, {pump.moving_packings.rings} rings",
        "foot-ball": made_of(_mm(foot.ball_diameter), foot.ball_material),
        "foot-seat": made_of(f"hole {_mm(foot.seat_bore)}", foot.seat_material),
        "piston-ball": made_of(_mm(piston.ball_diameter), piston.ball_material),
        "piston-seat": made_of(f"hole {_mm(piston.seat_bore)}", piston.seat_material),
        "cylinder": f"bore {_mm(pump.cylinder.bore)}, length {_mm(pump.cylinder.length)}",
        "rod": f"{_mm(pump.rod.diameter)}, length {_mm(pump.rod.length)}",
        "nozzle": f"orifice {_mm(pump.nozzle.orifice)}",
        "outlet-filter": f"opening {pump.filter.opening * 1e6:.0f} µm",
    }
    return said[part]


def expected_uses(
    fleet: FleetLives, part: LifePart, x: Floats, left: Floats, days: Days, day: Exposure
) -> float:
    """Expected number of a part used by one pump within a time, successors counted."""
    belief = fleet.beliefs[part]
    horizon = day.wear * days / DAY
    rng = np.random.default_rng((11, LIFE_PARTS.index(part)))
    used, spent = 0.0, np.array(left, dtype=float)
    for _ in range(_MOST_AGAIN):
        within = spent <= horizon
        if not within.any():
            break
        used += float(within.mean())
        fresh = remaining_lives(belief, x, age=1e-9, uniform=rng.uniform(1e-9, 1.0, len(spent)))
        spent = np.where(within, spent + fresh, math.inf)
    return used


def stock_plan(
    fleet: FleetLives,
    pumps: Sequence[PumpStores],
    costs: Costs,
    *,
    lead: Days,
    fill: Ratio,
    have: Mapping[str, int] | None = None,
) -> StockPlan:
    """Levels for every kind of part that the pumps take, and what to order.

    Args:
        fleet: what is believed of lives.
        pumps: the pumps served from these stores.
        costs: for prices and what a failure without the part costs.
        lead: time from order to shelf, s.
        fill: chance wanted of not running out in that time.
        have: number on the shelf by key.
    """
    groups: dict[tuple[LifePart, str], list[PumpStores]] = {}
    for each in pumps:
        for part in LIFE_PARTS:
            groups.setdefault((part, fit_key(each.pump, part)), []).append(each)
    order = {part: place for place, part in enumerate(LIFE_PARTS)}
    lines = tuple(
        _line(fleet, part, what, own, costs, lead=lead, fill=fill, have=have or {})
        for (part, what), own in sorted(groups.items(), key=lambda g: (order[g[0][0]], g[0][1]))
    )
    return StockPlan(lines, lead, fill, sum(line.hold * line.price for line in lines))


def key_of(part: LifePart, what: str) -> str:
    """A line's short id, the same for the same part and fit."""
    kept = "".join(c if c.isalnum() else "-" for c in what.lower())
    return f"{part}--{'-'.join(filter(None, kept.split('-')))}"[:80]


def _line(
    fleet: FleetLives, part: LifePart, what: str, own: Sequence[PumpStores], costs: Costs,
    *, lead: Days, fill: Ratio, have: Mapping[str, int],
) -> StockLine:  # fmt: skip
    demand = sum(_demand(fleet, part, each, lead) for each in own)
    price = costs.price(part)
    shortage = max(costs.unplanned(part) - costs.planned(part), 0.01)
    holding = max(price * HOLDING_A_YEAR * lead / (365.25 * DAY), 1e-6)
    hold = spares_for_fill(demand, fill)
    key = key_of(part, what)
    shelf = have.get(key, 0)
    balance = int(critical_stock(shortage=shortage, holding=holding, mean=demand).stock)
    return StockLine(
        key=key, part=part, title=f"{PART_WORDS[part]}, {fits(own[0].pump, part)}",
        fits=tuple(each.pump.name for each in own), demand=demand, hold=hold, balance=balance,
        fill=fill_probability(demand, hold), have=shelf, order=max(hold - shelf, 0), price=price,
        shortage=shortage,
    )  # fmt: skip


def _demand(fleet: FleetLives, part: LifePart, each: PumpStores, lead: Days) -> float:
    left = next(r for r in each.left if r.part == part).draws
    if left is None:
        return 0.0
    x = fleet.at(each.day, each.pump.site)
    return expected_uses(fleet, part, x, left, lead, each.day)


def order_csv_rows(lines: Iterable[OrderLine]) -> list[list[str]]:
    """The order list as rows, the head first."""
    rows = [["item", "part", "number", "price each", "price"]]
    rows += [
        [line.key, line.title, str(line.count), f"{line.price:.2f}", f"{line.cost:.2f}"]
        for line in lines
    ]
    return rows
