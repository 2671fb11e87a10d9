r"""Stock levels of van and depot: parts shared across pumps, by fill probability and by cost.

Demand over the lead time follows from the remaining life of every part (failures and their
successors, drawn from the fitted distributions), and is met as a Poisson demand. Two levels are
shown: the fewest that reach the fill probability wanted, and where shortage and holding balance
(critical ratio; sources in :mod:`wetend.stats.stock`). What to order is named as it is bought
(:mod:`wetend.advice.stores.ordering`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetend.advice.life.exposure import Exposure
from wetend.advice.life.learned import FleetLives
from wetend.advice.life.remaining import DAY, RemainingLife
from wetend.advice.stores.ordering import Offer, OrderLine, buy
from wetend.advice.stores.shelf import Shelf, Stocked, fits
from wetend.pump.costs import Costs
from wetend.pump.description import Pump
from wetend.pump.usage import FITTED_WORDS, LIFE_PARTS, LifePart
from wetend.stats.base_stock import base_stock_cost, best_base_stock
from wetend.stats.life.belief import remaining_lives
from wetend.stats.stock import critical_stock, fill_probability, left_over, spares_for_fill
from wetend.units.message import Message
from wetend.units.quantity import Ratio, SAsDays
from wetend.units.show import first_of

Floats = NDArray[np.float64]
HOLDING_A_YEAR: Ratio = 0.25
"""Cost of holding a part for a year, of its price: common practice, no source."""
_YEAR: SAsDays = 365.25 * DAY
_MOST_AGAIN = 60
_NAMED = 12
"""Pumps that a part fits, named at most."""
_OF_A_KIND = 8


@dataclass(frozen=True)
class PumpStores:
    """One pump as the stores see it."""

    pump: Pump
    day: Exposure
    left: tuple[RemainingLife, ...]
    """Of each part; none: taken to be as those of its kind that are known."""
    turned: Mapping[LifePart, bool | None] | None = None
    """Of parts with two faces: whether the second is in use; ``None`` or left out: not known."""


@dataclass(frozen=True)
class StockLine:
    """One kind of part to hold."""

    key: str
    """The program's own id, for addresses; never printed."""
    part: LifePart
    title: str
    fits: tuple[str, ...]
    """Names of the pumps it fits."""
    pumps: tuple[str, ...]
    """Their keys."""
    demand: float
    """Expected number used over the lead time, by all of them."""
    hold: int
    """By cost, or for the fill probability where one is asked for."""
    balance: int
    """Where shortage and holding cost least together."""
    fill: Ratio
    """Chance of not running out with ``hold``."""
    have: int
    """On the shelf and in the van."""
    van: int
    order: int
    price: float
    """Of one, as the owner pays, or the built-in round figure."""
    shortage: float
    """What one short costs: the wait and the emergency order, not the failure."""
    lead: SAsDays
    """From order to shelf."""
    number: str = ""
    """Of the single part that costs least; blank: no number yet."""
    kits: tuple[str, ...] = ()
    """Numbers of the kits that hold it."""
    ordered: int = 0
    """On order with the supplier."""
    year: float = 0.0
    """What ``hold`` costs a year, holding and shortage."""
    year_best: float = 0.0
    """What ``balance`` costs a year."""
    served: Ratio = 1.0
    """Share of the demand that ``hold`` serves from the shelf."""

    @property
    def fits_text(self) -> str:
        """The pumps it fits, by name; of many the first and how many more."""
        return first_of(self.fits, _NAMED)

    @property
    def bought_as(self) -> str:
        """What it goes by when it is bought; blank: no number yet."""
        return self.number or (Message("kit {number}", number=self.kits[0]) if self.kits else "")


@dataclass(frozen=True)
class StockPlan:
    """The stores' whole answer."""

    lines: tuple[StockLine, ...]
    lead: SAsDays
    fill: Ratio | None
    """Chance asked for; none: what costs least is held."""
    held_cost: float
    """Price of all that is to be held."""
    orders: tuple[OrderLine, ...] = ()
    """What to order now."""
    pumps: int = 0
    reckoned: int = 0
    """Pumps from which the demand of all was calculated."""

    @property
    def sampling_note(self) -> str:
        """From how many of the pumps the demand was calculated; blank: from all."""
        if self.reckoned >= self.pumps:
            return ""
        return Message(
            "Demand is calculated from {reckoned:,} of the {pumps:,} pumps, sampled "
            "evenly from each kind; the others of a kind are assumed alike.",
            reckoned=self.reckoned,
            pumps=self.pumps,
        )

    @property
    def all_fill(self) -> Ratio:
        """Chance that no part at all runs out over its lead time, with all that is to be held."""
        return math.prod(line.fill for line in self.lines)

    @property
    def year(self) -> float:
        """What holding and shortages of all parts cost a year."""
        return sum(line.year for line in self.lines)

    @property
    def year_best(self) -> float:
        """The same with what costs least."""
        return sum(line.year_best for line in self.lines)

    @property
    def order_cost(self) -> float:
        """Of all lines whose price is known."""
        return sum(line.cost or 0.0 for line in self.orders)

    @property
    def priced(self) -> bool:
        """Whether every line of the order has a price of the owner's."""
        return all(line.price is not None for line in self.orders)

    @property
    def missing(self) -> tuple[StockLine, ...]:
        """Parts to hold or to order that have no number yet."""
        return tuple(
            line for line in self.lines
            if (line.hold or line.order) and not line.number and not line.kits
        )  # fmt: skip


def expected_uses(
    fleet: FleetLives, part: LifePart, x: Floats, left: Floats, time: SAsDays, day: Exposure,
    *, reversible: bool = False, turned: bool | None = None,
) -> float:  # fmt: skip
    """Expected number of a part used by one pump within a time, successors counted.

    A part with two faces is turned first and replaced when the second is worn: of faces worn one
    after another every second one takes a new part. Where it is not known which face is in use,
    half counts.
    """
    belief = fleet.beliefs[part]
    horizon = day.wear * time / DAY
    rng = np.random.default_rng((11, LIFE_PARTS.index(part)))
    used, spent = 0.0, np.array(left, dtype=float)
    for nth in range(_MOST_AGAIN):
        within = spent <= horizon
        if not within.any():
            break
        used += _takes(nth, reversible=reversible, turned=turned) * float(within.mean())
        uniform = rng.uniform(1e-9, 1.0, len(spent))[within]
        fresh = remaining_lives(belief.some(within), x, age=1e-9, uniform=uniform)
        spent[~within] = math.inf
        spent[within] += fresh
    return used


def _takes(nth: int, *, reversible: bool, turned: bool | None) -> float:
    """How many parts the face worn as number ``nth`` from now takes."""
    if not reversible:
        return 1.0
    if turned is None:
        return 0.5
    return 1.0 if (nth % 2 == 0) == turned else 0.0


UseKey = tuple[str, LifePart, SAsDays]
"""A pump's key, a part and a time."""
_Group = tuple[LifePart, str, tuple[str, ...]]


def stock_plan(
    fleet: FleetLives,
    pumps: Sequence[PumpStores],
    costs: Costs,
    *,
    lead: SAsDays,
    fill: Ratio | None = None,
    have: Mapping[str, int] | None = None,
    shelf: Shelf | None = None,
    known: dict[UseKey, float] | None = None,
    van: bool = False,
) -> StockPlan:
    """Levels for every kind of part that the pumps take, and what to order.

    Args:
        fleet: what is believed of lives.
        pumps: the pumps served from these stores.
        costs: for prices and what a failure without the part costs.
        lead: time from order to shelf where no item says its own, s.
        fill: chance wanted of not running out in that time; none: what costs least.
        have: number there by the line's key or by part number; instead of what was counted.
        shelf: the owner's items, what was counted, and what was fitted since.
        van: whether it is a van, filled up from the depot each lead time: what is short there costs
            one more journey, and what is left over stays; else one piece is ordered as one is used.
        known: uses expected before of the same pumps under the same beliefs; new ones are put in.
    """
    shelf = shelf or Shelf()
    groups: dict[_Group, list[PumpStores]] = {}
    items: dict[_Group, tuple[Stocked, ...]] = {}
    alike = shelf.alike([each.pump for each in pumps])
    by_pump = {id(each.pump): each for each in pumps}
    for kind in alike:
        for part in LIFE_PARTS:
            own = shelf.of(kind[0], part)
            group = (part, fits(kind[0], part), tuple(sorted(s.item.number for s in own)))
            groups.setdefault(group, []).extend(by_pump[id(pump)] for pump in kind)
            items[group] = own
    order = {part: place for place, part in enumerate(LIFE_PARTS)}
    ranked = sorted(groups, key=lambda g: (order[g[0]], *g[1:]))
    maker = _Maker(fleet, costs, shelf, lead, fill, have or {}, {} if known is None else known,
                   van)  # fmt: skip
    lines = tuple(maker.line(group, groups[group], items[group]) for group in ranked)
    held = sum(line.hold * line.price for line in lines)
    orders = orders_of(lines, [items[g] for g in ranked], costs)
    return StockPlan(
        lines, lead, fill, held, orders, len(pumps), sum(bool(each.left) for each in pumps)
    )  # fmt: skip


def chosen(pumps: Sequence[Pump], shelf: Shelf, most: int) -> frozenset[str]:
    """Keys of the pumps from which the demand of all is calculated: all, or so many.

    Of more, those are taken that stand evenly spread among the ones like them, in the order of
    their keys, and of each kind at least :data:`_OF_A_KIND`, so that no kind goes unseen.
    """
    if len(pumps) <= most:
        return frozenset(pump.key for pump in pumps)
    found: set[str] = set()
    for kind in shelf.alike(pumps):
        count = min(max(round(most * len(kind) / len(pumps)), _OF_A_KIND), len(kind))
        keys = sorted(pump.key for pump in kind)
        found.update(keys[(2 * n + 1) * len(keys) // (2 * count)] for n in range(count))
    return frozenset(found)


def key_of(part: LifePart, what: str) -> str:
    """A line's short id, the same for the same part and fit."""
    kept = "".join(c if c.isascii() and c.isalnum() else "-" for c in what.lower())
    return f"{part}--{'-'.join(filter(None, kept.split('-')))}"[:80]


def cost_of_one(stocked: Stocked, guess: float) -> float:
    """Price of one piece of an item, or what is guessed for it."""
    price = stocked.item.price
    return guess if price is None else price / stocked.item.pack


@dataclass(frozen=True)
class _Maker:
    fleet: FleetLives
    costs: Costs
    shelf: Shelf
    lead: SAsDays
    fill: Ratio | None
    have: Mapping[str, int]
    known: dict[UseKey, float]
    van: bool = False

    def line(self, group: _Group, own: Sequence[PumpStores], items: Sequence[Stocked]) -> StockLine:
        part, what, numbers = group
        guess = self.costs.price(part)
        singles = sorted((s for s in items if not s.item.is_kit),
                         key=lambda s: cost_of_one(s, guess))  # fmt: skip
        single = singles[0] if singles else None
        lead = self.lead if single is None or single.item.lead is None else single.item.lead
        price = cost_of_one(single, guess) if single else guess
        own = sorted(own, key=lambda each: each.pump.key)
        known = [each for each in own if each.left]
        demand = sum(self._demand(part, each, lead) for each in known)
        demand *= len(own) / max(len(known), 1)
        shortage = self.costs.not_in_van() if self.van else self.costs.out_of_stock()
        holding = max(price * HOLDING_A_YEAR / _YEAR, 1e-9)
        balance, year_best, _ = self._cost(demand, lead, holding, shortage, None)
        hold = balance if self.fill is None else spares_for_fill(demand, self.fill)
        _, year, served = self._cost(demand, lead, holding, shortage, hold)
        key = key_of(part, " ".join((what, *numbers)))
        keys = tuple(each.pump.key for each in own)
        there = self.shelf.there(items, part, frozenset(keys))
        said = [self.have[n] for n in (key, *numbers) if n in self.have]
        have = said[0] if said else there.both
        ordered = 0 if self.van else sum(stocked.ordered for stocked in items)
        word = FITTED_WORDS[part]
        title = Message("{part}, {size}", part=word, size=what) if what else word
        return StockLine(
            key=key, part=part, title=title,
            fits=tuple(each.pump.name for each in own), pumps=keys, demand=demand, hold=hold,
            balance=balance, fill=fill_probability(demand, hold), have=have, van=there.van,
            order=max(hold - have - ordered, 0), price=price, shortage=shortage, lead=lead,
            number=single.item.number if single else "",
            kits=tuple(s.item.number for s in items if s.item.is_kit),
            ordered=ordered, year=year, year_best=year_best, served=served,
        )  # fmt: skip

    def _cost(
        self, demand: float, lead: SAsDays, holding: float, shortage: float, stock: int | None
    ) -> tuple[int, float, float]:
        """A stock, or the best, with its cost a year and the share of the demand it serves."""
        if not self.van:
            found = (
                best_base_stock(demand, lead=lead, holding=holding, shortage=shortage)
                if stock is None
                else base_stock_cost(
                    stock, demand, lead=lead, holding=holding, shortage=shortage
                )
            )  # fmt: skip
            return found.stock, found.cost * _YEAR, found.served
        if stock is None:
            stock = int(
                critical_stock(shortage=shortage, holding=holding * lead, mean=demand).stock
            )
        over = left_over(stock, demand)
        lacking = max(over + demand - stock, 0.0)
        cost = (holding * over + shortage * lacking / lead) * _YEAR
        return stock, cost, 1.0 - lacking / demand if demand else 1.0

    def _demand(self, part: LifePart, each: PumpStores, lead: SAsDays) -> float:
        key = (each.pump.key, part, lead)
        if key not in self.known:
            self.known[key] = self._reckoned(part, each, lead)
        return self.known[key]

    def _reckoned(self, part: LifePart, each: PumpStores, lead: SAsDays) -> float:
        left = next(r for r in each.left if r.part == part).draws
        if left is None:
            return 0.0
        x = self.fleet.at(each.day, each.pump.site)
        valve = {"foot-seat": each.pump.foot_valve, "piston-seat": each.pump.piston_valve}.get(part)
        return expected_uses(
            self.fleet, part, x, left, lead, each.day,
            reversible=valve is not None and valve.reversible,
            turned=(each.turned or {}).get(part),
        )  # fmt: skip


def orders_of(
    lines: Sequence[StockLine], items: Sequence[Sequence[Stocked]], costs: Costs
) -> tuple[OrderLine, ...]:
    """What to buy for what is short: kits where they cost no more than the parts they replace.

    Args:
        lines: what is held and short.
        items: what can be bought, for each line.
        costs: for the built-in prices, where the owner's are not known.
    """
    by_number = {s.item.number: s for own in items for s in own}
    wares, sold = _wares(lines, items, by_number, costs)
    packs = buy([line.order for line in lines], wares)
    found = []
    for ware, stocked, count in zip(wares, sold, packs, strict=True):
        if not count:
            continue
        if stocked is not None:
            count = max(count, stocked.item.least)
        short = [place for place in ware.gives if lines[place].order]
        covers = tuple(lines[place].title for place in short)
        if stocked is None:
            line = lines[next(iter(ware.gives))]
            name = (
                Message("{title} (in {bought_as})", title=line.title, bought_as=line.bought_as)
                if line.kits
                else line.title
            )
            found.append(OrderLine("", name, "", count, 1, None, covers, line.lead))
            continue
        item = stocked.item
        singles = _instead([lines[place] for place in short], count * item.pack)
        found.append(
            OrderLine(item.number, item.name, item.supplier, count, item.pack, item.price, covers,
                      item.lead, singles if item.is_kit else None)
        )  # fmt: skip
    return tuple(sorted(found, key=lambda o: (not o.number, o.supplier.lower(), o.name.lower())))


def _instead(short: Sequence[StockLine], count: int) -> float:
    """What single parts would cost in the place of so many kits."""
    return sum(line.price * min(line.order, count) for line in short)


def _wares(
    lines: Sequence[StockLine], items: Sequence[Sequence[Stocked]],
    by_number: Mapping[str, Stocked], costs: Costs,
) -> tuple[list[Offer], list[Stocked | None]]:  # fmt: skip
    """Every way to get the parts: items, and a part itself where no single one has a number.

    A kit whose price is not known can't be weighed against its parts, and is left out.
    """
    wares: list[Offer] = []
    sold: list[Stocked | None] = []
    for number, stocked in sorted(by_number.items()):
        places = [k for k, own in enumerate(items) if any(s.item.number == number for s in own)]
        item, price = stocked.item, stocked.item.price
        if price is None and item.is_kit:
            continue
        guess = item.pack * costs.price(lines[places[0]].part)
        wares.append(Offer(guess if price is None else price, dict.fromkeys(places, item.pack)))
        sold.append(stocked)
    for place, line in enumerate(lines):
        if not line.number:
            wares.append(Offer(costs.price(line.part), {place: 1}))
            sold.append(None)
    return wares, sold
