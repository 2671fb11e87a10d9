"""The order list for a supplier."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from wetend.advice.stores.ordering import NO_NUMBER, NO_PRICE, OrderLine
from wetend.advice.stores.stock import StockPlan
from wetend.reports.blocks import Cell, Document, Prose, Section, Table
from wetend.reports.field_text import moment
from wetend.reports.typeset import press
from wetend.units.show import rounded


def money(value: float) -> str:
    """A sum, thousands set apart.

    >>> money(1234.5)
    '1,234.50'
    """
    return f"{value:,.2f}"


def _row(line: OrderLine) -> tuple[Cell, ...]:
    pack = f" packs of {line.pack}" if line.pack > 1 else ""
    price = NO_PRICE if line.price is None else money(line.price)
    kit = line.instead is not None and line.price is not None
    instead = f"; bought singly {money(line.instead or 0.0)}" if kit else ""
    return (
        Cell(line.number or NO_NUMBER, strong=bool(line.number)),
        Cell(line.name, quiet=f"for {'; '.join(line.covers)}{instead}" if line.number else ""),
        Cell(f"{line.count}{pack}", strong=True), Cell(price),
        Cell("" if line.cost is None else money(line.cost)),
    )  # fmt: skip


def _orders(lines: Sequence[OrderLine]) -> tuple[Section, ...]:
    """What to order, supplier by supplier; last what has no number yet."""
    groups: dict[str, list[OrderLine]] = {}
    for line in lines:
        told = "No part number yet: ask the supplier" if not line.number else (
            f"To order from {line.supplier}" if line.supplier else "To order, supplier not named"
        )  # fmt: skip
        groups.setdefault(told, []).append(line)
    head = ("number", "part", "quantity", "unit price", "total")
    found = []
    for told, own in groups.items():
        rows = [_row(line) for line in own]
        if any(line.cost is not None for line in own):
            total = money(sum(line.cost or 0.0 for line in own))
            rows.append((Cell(""), Cell("total", strong=True), Cell(""), Cell(""),
                         Cell(total, strong=True)))  # fmt: skip
        table = Table(head, tuple(rows), (0, 1, 0, 0, 0), right=(2, 3, 4))
        found.append(Section(told, (table,)))
    return tuple(found)


def _held(plan: StockPlan) -> Table:
    rows = tuple(
        (Cell(line.bought_as or NO_NUMBER), Cell(line.title, quiet=f"fits {line.fits_text}"),
         Cell(rounded(line.demand)), Cell(str(line.hold), strong=True), Cell(str(line.have)))
        for line in plan.lines
    )  # fmt: skip
    head = ("number", "part", "used in the lead time", "hold", "there")
    return Table(head, rows, (0, 1, 0, 0, 0), right=(2, 3, 4))


def order_document(plan: StockPlan, *, issued: datetime, author: str = "") -> Document:
    """The list as blocks, ready for the press."""
    days = plan.lead / 86400.0
    told = (
        f"Enough to last the lead time ({days:.0f} days, or an item's own) with a chance of "
        f"{plan.fill:.0%} each. Prices as entered, in one currency."
    )
    orders = plan.orders
    least = "" if plan.priced else "at least "
    head = Prose(f"{len(orders)} lines, {least}{money(plan.order_cost)} in total" if orders
                 else "Nothing to order", style="strong")  # fmt: skip
    return Document(
        title="Order list", subject="Spare parts", author=author or "wetend", made=issued,
        plate=(("document", "order list"), ("lead time", f"{days:.0f} days"),
               ("fill", f"{plan.fill:.0%}"), ("issued", moment(issued))),
        head=(head, Prose(told)), corner=None,
        sections=(*_orders(orders), Section("Stock to hold", (_held(plan),))),
    )  # fmt: skip


def order_list(plan: StockPlan, *, issued: datetime, author: str = "") -> bytes:
    """The list as a PDF file's bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(order_document(plan, issued=issued, author=author))
