"""The order list for a supplier."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from wetend.advice.stores.ordering import NO_NUMBER, NO_PRICE, OrderLine
from wetend.advice.stores.stock import StockPlan
from wetend.reports.blocks import Cell, Document, Prose, Section, Table
from wetend.reports.field_text import moment
from wetend.reports.typeset import press
from wetend.telling.reader import METRIC, Reader
from wetend.units.message import Message, joined
from wetend.units.show import rounded


def money(value: float) -> str:
    """A sum, thousands set apart.

    >>> money(1234.5)
    '1,234.50'
    """
    return f"{value:,.2f}"


def _row(line: OrderLine) -> tuple[Cell, ...]:
    count = (
        Message("{count} packs of {pack}", count=line.count, pack=line.pack)
        if line.pack > 1
        else f"{line.count}"
    )
    price = NO_PRICE if line.price is None else money(line.price)
    kit = line.instead is not None and line.price is not None
    covers = joined("; ", line.covers)
    note = (
        Message(
            "for {covers}; bought singly {price}", covers=covers, price=money(line.instead or 0.0)
        )
        if kit
        else Message("for {covers}", covers=covers)
    )
    return (
        Cell(line.number or NO_NUMBER, strong=bool(line.number)),
        Cell(
            line.name,
            quiet=note if line.number else "",
        ),
        Cell(count, strong=True),
        Cell(price),
        Cell("" if line.cost is None else money(line.cost)),
    )


def _orders(lines: Sequence[OrderLine]) -> tuple[Section, ...]:
    """What to order, supplier by supplier; last what has no number yet."""
    groups: dict[str, list[OrderLine]] = {}
    for line in lines:
        note = (
            Message("No part number yet: ask the supplier")
            if not line.number
            else (
                Message("To order from {supplier}", supplier=line.supplier)
                if line.supplier
                else Message("To order, supplier not named")
            )
        )
        groups.setdefault(note, []).append(line)
    head = (
        Message("number"),
        Message("part"),
        Message("quantity"),
        Message("unit price"),
        Message("total"),
    )
    found = []
    for supplier, own in groups.items():
        rows = [_row(line) for line in own]
        if any(line.cost is not None for line in own):
            total = money(sum(line.cost or 0.0 for line in own))
            rows.append((Cell(""), Cell(Message("total"), strong=True), Cell(""), Cell(""),
                         Cell(total, strong=True)))  # fmt: skip
        table = Table(head, tuple(rows), (0, 1, 0, 0, 0), right=(2, 3, 4))
        found.append(Section(supplier, (table,)))
    return tuple(found)


def _held(plan: StockPlan) -> Table:
    rows = tuple(
        (
            Cell(line.bought_as or NO_NUMBER),
            Cell(line.title, quiet=Message("fits {fits_text}", fits_text=line.fits_text)),
            Cell(rounded(line.demand)),
            Cell(str(line.hold), strong=True),
            Cell(str(line.have)),
        )
        for line in plan.lines
    )
    head = (
        Message("number"),
        Message("part"),
        Message("used in the lead time"),
        Message("hold"),
        Message("there"),
    )
    return Table(head, rows, (0, 1, 0, 0, 0), right=(2, 3, 4))


def _by(plan: StockPlan) -> str:
    if plan.fill is None:
        return Message("what costs least")
    return Message("each with {fill:.0%}", fill=plan.fill)


def order_document(plan: StockPlan, *, issued: datetime, author: str = "") -> Document:
    """The list as blocks, ready for the press."""
    days = plan.lead / 86400.0
    note = Message(
        "Enough to last the lead time ({days:.0f} days, or an item's own): {by}; nothing runs out "
        "with a chance of {all_fill:.0%}. Prices as entered, in one currency.",
        days=days,
        by=_by(plan),
        all_fill=plan.all_fill,
    )
    orders = plan.orders
    least = "" if plan.priced else Message("at least ")
    head = Prose(
        Message(
            "{orders} lines, {least}{order_cost} in total",
            orders=len(orders),
            least=least,
            order_cost=money(plan.order_cost),
        )
        if orders
        else Message("Nothing to order"),
        style="strong",
    )
    return Document(
        title=Message("Order list"),
        subject=Message("Spare parts"),
        author=author or "wetend",
        made=issued,
        plate=(
            (Message("document"), Message("order list")),
            (Message("lead time"), Message("{days:.0f} days", days=days)),
            (Message("held"), _by(plan)),
            (Message("issued"), moment(issued)),
        ),
        head=(head, Prose(note)),
        corner=None,
        sections=(*_orders(orders), Section(Message("Stock to hold"), (_held(plan),))),
    )


def order_list(
    plan: StockPlan, *, issued: datetime, author: str = "", reader: Reader = METRIC
) -> bytes:
    """The list as a PDF file's bytes.

    Raises:
        WetendError: it could not be set.
    """
    return press(order_document(plan, issued=issued, author=author), reader)
