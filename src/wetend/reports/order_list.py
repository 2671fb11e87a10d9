"""The order list: what the stores want, ready to send."""

from __future__ import annotations

from datetime import datetime

from wetend.advice.stores import StockPlan
from wetend.reports.blocks import Cell, Document, Prose, Section, Table
from wetend.reports.press import press
from wetend.reports.told import moment


def money(value: float) -> str:
    """A sum, thousands set apart.

    >>> money(1234.5)
    '1 234.50'
    """
    return f"{value:,.2f}".replace(",", " ")


def _orders(plan: StockPlan) -> Table:
    rows = tuple(
        (Cell(str(o.count), strong=True), Cell(o.title, quiet=o.key), Cell(money(o.price)),
         Cell(money(o.cost)))
        for o in plan.orders
    )  # fmt: skip
    return Table(("number", "part", "each", "together"), rows, (0, 1, 0, 0), right=(0, 2, 3))


def _held(plan: StockPlan) -> Table:
    rows = tuple(
        (Cell(line.title, quiet=f"fits {', '.join(line.fits)}"), Cell(f"{line.demand:.2f}"),
         Cell(str(line.hold), strong=True), Cell(str(line.balance)), Cell(str(line.have)))
        for line in plan.lines
    )  # fmt: skip
    head = ("part", "used in the lead time", "hold", "by cost", "there")
    return Table(head, rows, (1, 0, 0, 0, 0), right=(1, 2, 3, 4))


def order_document(plan: StockPlan, *, issued: datetime, author: str = "") -> Document:
    """The list as blocks, ready for the press."""
    days = plan.lead / 86400.0
    told = (
        f"Enough to last {days:.0f} days of lead time with a chance of {plan.fill:.0%} each. "
        "Prices are those put in, in one currency."
    )
    orders = plan.orders
    head = Prose(f"{len(orders)} lines, {money(plan.order_cost)} together" if orders
                 else "Nothing to order", style="strong")  # fmt: skip
    order = (_orders(plan),) if orders else ()
    return Document(
        title="Order list", subject="Spare parts", author=author or "wetend", made=issued,
        plate=(("document", "order list"), ("lead time", f"{days:.0f} days"),
               ("fill", f"{plan.fill:.0%}"), ("issued", moment(issued))),
        head=(head, Prose(told)), corner=None,
        sections=(
            *((Section("To order", order),) if order else ()),
            Section("What is to be held", (_held(plan),)),
        ),
    )  # fmt: skip


def order_list(plan: StockPlan, *, issued: datetime, author: str = "") -> bytes:
    """The list as a PDF file's bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(order_document(plan, issued=issued, author=author))
