"""Stores: the parts box for one call, stock levels, the order list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import Any

from wetend.advice.diagnosis.diagnose import suspect
from wetend.advice.faults.record import Fault
from wetend.advice.life.next_repack import NextRepack
from wetend.advice.stores.call_box import BoxChoice, best_box, faults_before_checks
from wetend.advice.stores.ordering import ORDER_HEAD, order_rows
from wetend.advice.stores.shelf import Shelf, Stocked
from wetend.advice.stores.stock import PumpStores, StockPlan, chosen, stock_plan
from wetend.errors import BadInput
from wetend.pump.costs import Costs
from wetend.pump.description import Pump
from wetend.pump.usage import FITTED_WORDS
from wetend.records.fold import Visit
from wetend.reports.order_list import order_list
from wetend.units.message import Message
from wetend.units.quantity import M3, Ratio, SAsDays
from wetend.workflows.catalogue import shelf_of
from wetend.workflows.checks import diagnosis_of, leanings_of
from wetend.workflows.desk import Desk
from wetend.workflows.exporting import csv_text
from wetend.workflows.life import soonest_repacks
from wetend.workflows.life_facts import DepotFacts, facts, fault_leanings, of_pump

LEAD: SAsDays = 21 * 86400.0
VAN_TIME: SAsDays = 7 * 86400.0
ROOM: M3 = 2e-3
SOONEST = 6
"""Pumps named whose packings are worn next."""
MOST_AT_ONCE = 300
"""Pumps from which the demand of all is calculated; of more, an even choice of each kind."""
_MOST_USES = 30_000
"""Expected uses kept with the depot's facts, of all pumps, parts and times asked for."""


@dataclass(frozen=True)
class StoresView:
    """The stores page."""

    depot: StockPlan
    van: StockPlan
    costs: Costs
    pumps: int
    repacks: tuple[tuple[Pump, NextRepack], ...]
    """Pumps whose packings are worn next, the first day first."""
    items: int
    """In the owner's catalogue."""


@dataclass(frozen=True)
class CarriedItem:
    """One item of the parts box as the owner buys it."""

    key: str
    number: str
    """Blank: no number yet."""
    van: int | None
    """In the van; ``None`` where it was never counted."""


@dataclass(frozen=True)
class BoxView:
    """What to carry on one call."""

    visit: Visit
    faults: Mapping[Fault, Ratio]
    from_checks: bool
    """Whether the running checks weighed in; else only the complaint and the parts' lives."""
    box: BoxChoice
    limit: M3
    carry: tuple[CarriedItem, ...]
    """What each item of the box is bought as, and how many are in the van."""


def plan(
    desk: Desk,
    costs: Costs,
    *,
    lead: SAsDays = LEAD,
    fill: Ratio | None = None,
    have: Mapping[str, int] | None = None,
    today: date | None = None,
) -> StockPlan:
    """Levels and orders for all pumps of the depot.

    Raises:
        BadInput: lead time or fill probability makes no sense.
    """
    known = facts(desk, today=today)
    shelf = _shelf(desk, known)
    return _planned(known, _rows(known, shelf), costs, lead=lead, fill=fill, have=have, shelf=shelf)


def _shelf(desk: Desk, known: DepotFacts) -> Shelf:
    return shelf_of(desk, {key: own.pump for key, own in known.in_use.items()})


def _rows(known: DepotFacts, shelf: Shelf) -> list[PumpStores]:
    """Every pump by key, with what is left of the parts of those that are calculated."""
    rows = []
    pumps = [own.pump for _, own in sorted(known.in_use.items())]
    reckoned = chosen(pumps, shelf, MOST_AT_ONCE)
    for pump in pumps:
        if pump.key not in reckoned:
            rows.append(PumpStores(pump, known.pumps[pump.key].day, ()))
            continue
        own, left = of_pump(known, pump.key)
        turned = {part: now.life.turned for part, now in own.parts.items()
                  if now.life is not None and not now.assumed}  # fmt: skip
        rows.append(PumpStores(own.pump, own.day, left, turned))
    return rows


def _planned(
    known: DepotFacts, rows: list[PumpStores], costs: Costs, *,
    lead: SAsDays, fill: Ratio | None, shelf: Shelf,
    have: Mapping[str, int] | None = None, van: bool = False,
) -> StockPlan:  # fmt: skip
    if not ((fill is None or 0 < fill < 1) and 3600 <= lead <= 3 * 365 * 86400):
        raise BadInput(
            Message("The fill must lie between 0 and 1, the lead time between an hour and 3 y.")
        )
    if len(known.uses) > _MOST_USES:
        known.uses.clear()
    return stock_plan(known.fleet, rows, costs, lead=lead, fill=fill, have=have, shelf=shelf,
                      known=known.uses, van=van)  # fmt: skip


def view(
    desk: Desk,
    *,
    costs: Costs | None = None,
    lead: SAsDays = LEAD,
    fill: Ratio | None = None,
    have: Mapping[str, int] | None = None,
) -> StoresView:
    """The stores as they should be."""
    costs, known = costs or Costs(), facts(desk)
    shelf = _shelf(desk, known)
    week = replace(shelf, items=tuple(_for_a_week(s) for s in shelf.items))
    rows = _rows(known, shelf)
    return StoresView(
        depot=_planned(known, rows, costs, lead=lead, fill=fill, have=have, shelf=shelf),
        van=_planned(known, rows, costs, lead=VAN_TIME, fill=None, shelf=week,
                     van=True),
        costs=costs, pumps=len(known.in_use),
        repacks=soonest_repacks(desk, SOONEST),
        items=len(shelf.items),
    )  # fmt: skip


def _for_a_week(stocked: Stocked) -> Stocked:
    """An item as the van sees it: filled up once a week, whatever the supplier takes."""
    return replace(stocked, item=stocked.item.model_copy(update={"lead": VAN_TIME}), shelf=0)


def box(desk: Desk, visit_id: str, *, room: M3 = ROOM) -> BoxView:
    """What to carry for one call, by all that is known of it.

    Raises:
        BadInput: the room is none.
    """
    if not 0 < room <= 10:
        raise BadInput(Message("The room in the box must be above zero and at most 10 m³."))
    visit = desk.visit(visit_id)
    found = diagnosis_of(visit, leanings=leanings_of(desk, visit))
    if found is not None:
        chances = {f.fault: f.probability for f in found.findings}
    else:
        seen = [s.fault for s in suspect(visit.complaint)] if visit.complaint else []
        chances = faults_before_checks(seen, fault_leanings(desk, visit.pump.key))
    best, known = best_box(chances, room=room), facts(desk)
    carry = _carried(best, visit.pump, _shelf(desk, known))
    return BoxView(visit, chances, found is not None, best, room, carry)


def _carried(box: BoxChoice, pump: Pump, shelf: Shelf) -> tuple[CarriedItem, ...]:
    """The box's items by their numbers; of several the one that is in the van, else the first."""
    found = []
    for item in box.items:
        parts = [part for part in FITTED_WORDS if part in item.covers]
        sold = [s for s in shelf.of(pump, parts[0]) if set(parts) <= set(s.item.parts)
                and s.item.is_kit == (len(parts) > 1)] if parts else []  # fmt: skip
        there = [(s, shelf.there([s], parts[0], [pump.key]).van) for s in sold]
        best = max(there, key=lambda each: each[1], default=None)
        counted = best is not None and best[0].counted is not None
        found.append(CarriedItem(item.key, best[0].item.number if best else "",
                           best[1] if best and counted else None))  # fmt: skip
    return tuple(found)


def order_csv(plan: StockPlan) -> str:
    """The order list as CSV."""
    return csv_text(ORDER_HEAD, order_rows(plan.orders)[1:])


def order_json(plan: StockPlan) -> dict[str, Any]:
    """The order list as it is sent: numbers, names, suppliers, packs, prices."""
    lines = [
        {"number": o.number, "name": o.name, "supplier": o.supplier, "count": o.count,
         "pack": o.pack, "price_each": o.price, "total": o.cost, "for": list(o.covers),
         "lead_days": None if o.lead is None else o.lead / 86400.0,
         "single_parts_would_cost": o.instead} for o in plan.orders
    ]  # fmt: skip
    asked = [{"part": m.title, "pumps": list(m.fits), "hold": m.hold} for m in plan.missing]
    return {"lines": lines, "total": plan.order_cost, "all_priced": plan.priced,
            "no_number_yet": asked}  # fmt: skip


def order_pdf(desk: Desk, plan: StockPlan) -> bytes:
    """The order list as a PDF file's bytes."""
    issued = datetime.now(UTC).replace(microsecond=0)
    return order_list(plan, issued=issued, author=desk.who, reader=desk.reader)
