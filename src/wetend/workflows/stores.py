"""Stores: the box for one call, what van and depot hold, the order list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime

from wetend.advice.box import BoxChoice, best_box, faults_before_checks
from wetend.advice.diagnosis import suspect
from wetend.advice.fault_finding.faults import Fault
from wetend.advice.next_repack import NextRepack
from wetend.advice.stores import PumpStores, StockPlan, order_csv_rows, stock_plan
from wetend.errors import BadInput
from wetend.pump.costs import Costs
from wetend.pump.description import Pump
from wetend.records.fold import Visit
from wetend.reports.order_list import order_list
from wetend.units.quantity import M3, Days, Ratio
from wetend.workflows.checks import diagnosis_of, leanings_of
from wetend.workflows.desk import Desk
from wetend.workflows.exporting import csv_text
from wetend.workflows.life import soonest_repacks
from wetend.workflows.life_facts import DepotFacts, facts, fault_leanings, of_pump

LEAD: Days = 21 * 86400.0
FILL: Ratio = 0.95
VAN_TIME: Days = 7 * 86400.0
VAN_FILL: Ratio = 0.8
ROOM: M3 = 2e-3
SOONEST = 6
"""Pumps named whose packings are worn next."""
MOST_AT_ONCE = 400
"""Pumps whose stores are planned at once on a page."""


@dataclass(frozen=True)
class StoresView:
    """The stores page."""

    depot: StockPlan
    van: StockPlan
    costs: Costs
    pumps: int
    repacks: tuple[tuple[Pump, NextRepack], ...]
    """Pumps whose packings are worn next, the first day first."""


@dataclass(frozen=True)
class BoxView:
    """What to carry on one call."""

    visit: Visit
    faults: Mapping[Fault, Ratio]
    from_checks: bool
    """Whether the running checks weighed in; else only the complaint and the parts' lives."""
    box: BoxChoice
    limit: M3


def plan(
    desk: Desk,
    costs: Costs,
    *,
    lead: Days = LEAD,
    fill: Ratio = FILL,
    have: Mapping[str, int] | None = None,
    today: date | None = None,
) -> StockPlan:
    """Levels and orders for all pumps of the depot.

    Raises:
        BadInput: lead time or fill probability makes no sense.
    """
    return _planned(facts(desk, today=today), costs, lead=lead, fill=fill, have=have)


def _planned(
    known: DepotFacts, costs: Costs, *, lead: Days, fill: Ratio,
    have: Mapping[str, int] | None = None,
) -> StockPlan:  # fmt: skip
    if not (0 < fill < 1 and 3600 <= lead <= 3 * 365 * 86400):
        raise BadInput("The fill must lie between 0 and 1, the lead time between an hour and 3 y.")
    rows = []
    for key in sorted(known.pumps)[:MOST_AT_ONCE]:
        own, left = of_pump(known, key)
        rows.append(PumpStores(own.pump, own.day, left))
    return stock_plan(known.fleet, rows, costs, lead=lead, fill=fill, have=have)


def view(
    desk: Desk,
    *,
    costs: Costs | None = None,
    lead: Days = LEAD,
    fill: Ratio = FILL,
    have: Mapping[str, int] | None = None,
) -> StoresView:
    """The stores as they should be."""
    costs, known = costs or Costs(), facts(desk)
    return StoresView(
        depot=_planned(known, costs, lead=lead, fill=fill, have=have),
        van=_planned(known, costs, lead=VAN_TIME, fill=VAN_FILL),
        costs=costs, pumps=len(known.pumps), repacks=soonest_repacks(desk, SOONEST),
    )  # fmt: skip


def box(desk: Desk, visit_id: str, *, room: M3 = ROOM) -> BoxView:
    """What to carry for one call, by all that is known of it.

    Raises:
        BadInput: the room is none.
    """
    if not 0 < room <= 10:
        raise BadInput("The box must have some room, and at most 10 m³.")
    visit = desk.visit(visit_id)
    found = diagnosis_of(visit, leanings=leanings_of(desk, visit))
    if found is not None:
        chances = {f.fault: f.probability for f in found.findings}
    else:
        seen = [s.fault for s in suspect(visit.complaint)] if visit.complaint else []
        chances = faults_before_checks(seen, fault_leanings(desk, visit.pump.key))
    return BoxView(visit, chances, found is not None, best_box(chances, room=room), room)


def order_csv(plan: StockPlan) -> str:
    """The order list as CSV."""
    head, *rows = order_csv_rows(plan.orders)
    return csv_text(head, rows)


def order_pdf(desk: Desk, plan: StockPlan) -> bytes:
    """The order list as a PDF file's bytes."""
    return order_list(plan, issued=datetime.now(UTC).replace(microsecond=0), author=desk.who)
