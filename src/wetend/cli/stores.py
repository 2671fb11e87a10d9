"""``wetend stores``: the box for one call, what to hold, the order list."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated

import typer

from wetend.advice.stores.ordering import NO_NUMBER, NO_PRICE, order_rows
from wetend.advice.stores.stock import StockPlan
from wetend.cli.arguments import pairs, quantity
from wetend.cli.desk import noun_from, opened, system_of
from wetend.cli.field_rows import COSTS, fields
from wetend.cli.help_format import group_app, helped
from wetend.cli.options import AsJson, CostsGiven, Needed, VisitName
from wetend.cli.output import (
    Sheet,
    may_be_written,
    one_output,
    write_data,
    write_file,
    write_json,
    write_wrote,
)
from wetend.cli.read_file import bytes_of
from wetend.errors import BadInput
from wetend.pump.catalogue import CatalogueItem, StockCounted
from wetend.pump.costs import Costs
from wetend.pump.usage import FITTED_WORDS
from wetend.units import kinds
from wetend.units.fields import read
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.quantity import M3Small, unit_of
from wetend.units.show import chance_text, rough, rounded, whole
from wetend.workflows import catalogue, catalogue_files, stores, visits
from wetend.workflows.history_table import MOST_BYTES

app = group_app(Message("What to carry on a call, what to stock, what to order."))
Lead = Annotated[str, typer.Option(help="Lead time, from order to shelf, like 21d.")]
Fill = Annotated[
    str, typer.Option(help="Chance of not running out, like 95%; without it, what costs least.")
]
Have = Annotated[
    list[str] | None,
    typer.Option(
        "--have", help="In stock now, instead of the count: PARTNUMBER=COUNT; repeatable."
    ),
]
Number = Annotated[str, typer.Argument(metavar="NUMBER", help="The part number.")]


def _lead(typed: str) -> float:
    return quantity("--lead", typed, kinds.TIME, bare="d", least=3599.0, most=3 * 365 * 86400.0)


def _fill(typed: str) -> float | None:
    return None if not typed else quantity("--fill", typed, kinds.RATIO, bare="1", most=1.0 - 1e-9)


def shelf(have: list[str] | None) -> dict[str, int]:
    """How many are there, by part number.

    Raises:
        BadInput: one can't be read.
    """
    found = {}
    for text in have or []:
        number, sign, count = text.rpartition("=")
        if not sign or not count.strip().isdigit():
            raise BadInput(Message("--have: “{text}” is not PARTNUMBER=COUNT.", text=text[:60]))
        found[number.strip()] = min(int(count), 10**6)
    return found


def write_plan(sheet: Sheet, plan: StockPlan) -> None:
    """Levels and orders as text."""
    sheet.table(
        [
            Message("number"),
            Message("part"),
            Message("fits"),
            Message("used in lead time"),
            Message("hold"),
            Message("least cost"),
            Message("served"),
            Message("there"),
            Message("order"),
        ],
        [
            [
                line.bought_as or NO_NUMBER,
                line.title,
                line.fits_text,
                rounded(line.demand),
                str(line.hold),
                str(line.balance),
                chance_text(line.served),
                str(line.have + line.ordered),
                str(line.order),
            ]
            for line in plan.lines
        ],
    )
    if plan.sampling_note:
        sheet.line(plan.sampling_note)
    sheet.line(
        Message(
            "Cost of stock: {held_cost}. To order: {order_cost}.",
            held_cost=whole(plan.held_cost),
            order_cost=whole(plan.order_cost),
        )
    )
    sheet.line(
        Message(
            "Nothing runs out over the lead time with {fill}. Holding and shortages: {year} a "
            "year, at the least {best}.",
            fill=chance_text(plan.all_fill), year=whole(plan.year), best=whole(plan.year_best),
        )
    )  # fmt: skip
    if plan.missing:
        sheet.line(
            Message(
                "{missing} parts have no number yet; enter each: wetend stores item number= name= "
                "parts= pumps=",
                missing=len(plan.missing),
            )
        )


def write_orders(sheet: Sheet, plan: StockPlan) -> None:
    """What to order, as it is bought."""
    if not plan.orders:
        sheet.line(Message("Nothing to order."))
        return
    head, *rows = order_rows(plan.orders)
    sheet.table(head, rows)
    least = "" if plan.priced else Message("at least ")
    sheet.line(Message("Total {least}{order_cost:,.2f}.", least=least, order_cost=plan.order_cost))


@app.command("list", cls=helped("wetend stores list --fill 98%", tables=[fields(Costs, COSTS)]))
def list_all(
    ctx: typer.Context, costs: CostsGiven = None, lead: Lead = "21d", fill: Fill = "",
    have: Have = None, as_json: AsJson = False,
) -> None:  # fmt: skip
    """List stock levels for every part of the pumps, shared parts pooled."""
    with opened(ctx) as desk:
        plan = stores.plan(
            desk, noun_from(Costs, costs or [], system_of(ctx)),
            lead=_lead(lead), fill=_fill(fill), have=shelf(have),
        )  # fmt: skip
        if as_json:
            write_json(plan)
        else:
            write_plan(Sheet(desk.system), plan)


@app.command(cls=helped("wetend stores order --to order.pdf", tables=[fields(Costs, COSTS)]))
def order(
    ctx: typer.Context, costs: CostsGiven = None, lead: Lead = "21d", fill: Fill = "",
    have: Have = None,
    to: Annotated[str, typer.Option(help="File to write: .csv or .pdf; - for CSV here.")] = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Show or write the order list: part numbers, suppliers, packs and prices."""
    if to not in ("", "-") and Path(to).suffix.lower() not in (".csv", ".pdf"):
        raise BadInput(Message("Name the order list .csv or .pdf."))
    one_output(to=to == "-", json=as_json)
    may_be_written(to)
    with opened(ctx) as desk:
        plan = stores.plan(
            desk, noun_from(Costs, costs or [], system_of(ctx)),
            lead=_lead(lead), fill=_fill(fill), have=shelf(have),
        )  # fmt: skip
        if to == "-":
            write_data(stores.order_csv(plan))
            return
        if to:
            pdf = Path(to).suffix.lower() == ".pdf"
            write_file(to, stores.order_pdf(desk, plan) if pdf else stores.order_csv(plan).encode())
        if as_json:
            write_json(stores.order_json(plan))
        elif to:
            Sheet(desk.system).line(Message("Wrote {to}", to=to))
        else:
            write_orders(Sheet(desk.system), plan)


@app.command(cls=helped("wetend stores box last --room 3L"))
def box(
    ctx: typer.Context,
    name: VisitName,
    room: Annotated[str, typer.Option(help="Room in the box, like 2L.")] = "2L",
    as_json: AsJson = False,
) -> None:
    """Show what to carry on one call for the best chance of a repair at the first visit."""
    size = quantity("--room", room, kinds.VOLUME, bare="L", most=10.0)
    with opened(ctx) as desk:
        seen = stores.box(desk, visits.find(desk, name), room=size)
        if as_json:
            write_json({"faults": seen.faults, "from_checks": seen.from_checks, "box": seen.box,
                        "limit": seen.limit, "carry": seen.carry})  # fmt: skip
            return
        sheet = Sheet(desk.system)
        sheet.heading(
            Message(
                "Repaired at the first visit: {chance} (with nothing {empty_chance}, with "
                "everything {full_chance})",
                chance=chance_text(seen.box.chance),
                empty_chance=chance_text(seen.box.empty_chance),
                full_chance=chance_text(seen.box.full_chance),
            )
        )
        rows = zip(seen.box.items, seen.box.without, seen.carry, strict=True)
        for item, (_, without), carry in rows:
            van = "" if carry.van is None else Message(", {van} in the van", van=carry.van)
            number = (
                Message(" ({number}{van})", number=carry.number, van=van) if carry.number else ""
            )
            sheet.line(
                Message(
                    "- {title}{number}, {room}; without it {without}",
                    title=item.title,
                    number=number,
                    room=rough(item.room, unit_of(M3Small), sheet.system),
                    without=chance_text(without),
                )
            )
        basis = (
            Message("the running checks")
            if seen.from_checks
            else Message("the complaint and the parts' lives")
        )
        sheet.line(Message("Based on {basis}.", basis=basis))


@app.command(cls=helped("wetend stores items"))
def items(ctx: typer.Context, as_json: AsJson = False) -> None:
    """List the catalogue: part numbers, suppliers, prices, shelf and van."""
    with opened(ctx) as desk:
        seen = catalogue.items_of(desk)
        if as_json:
            write_json(seen)
            return
        sheet = Sheet(desk.system)
        if not seen:
            sheet.line(Message("The catalogue is empty; add a first part with wetend stores item."))
            return
        sheet.table(
            [Message("number"), Message("called"), Message("parts"), Message("pumps"),
             Message("supplier"), Message("price"), Message("pack"), Message("shelf"),
             Message("van")],
            [[s.item.number, s.item.name, joined(", ", (FITTED_WORDS[p] for p in s.item.parts)),
              joined(", ", s.item.pumps), s.item.supplier,
              NO_PRICE if s.item.price is None else f"{s.item.price:.2f}", str(s.item.pack),
              str(s.shelf) if s.counted else "", str(s.van) if s.counted else ""] for s in seen],
        )  # fmt: skip


@app.command(
    cls=helped('wetend stores item number=A-107 name="Foot seat" parts=foot-seat pumps=quay-air '
               'price=84.50 lead="14 d"', tables=[fields(CatalogueItem)])
)  # fmt: skip
def item(
    ctx: typer.Context,
    given: Needed,
    was: Annotated[str, typer.Option(help="Its old number, if that changes.")] = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Add an item to the catalogue, or change it; one for several parts is a kit."""
    with opened(ctx) as desk:
        typed = pairs(given)
        number = was or typed.get("number", "")
        old = next((s.item for s in catalogue.items_of(desk) if s.item.number == number), None)
        kept = catalogue.save(desk, read_over(old, typed, system_of(ctx)), was=was)
        if as_json:
            write_json(kept)
        else:
            Sheet(desk.system).line(
                Message("Saved {number}: {name}.", number=kept.number, name=kept.name)
            )


def read_over(
    old: CatalogueItem | None, typed: Mapping[str, str], system: System | None
) -> CatalogueItem:
    """An item as typed, over what is known of it."""
    known: dict[str, str] = {}
    if old is not None:
        lines = {
            "number": old.number, "name": old.name, "parts": ",".join(old.parts),
            "pumps": ",".join(old.pumps), "supplier": old.supplier, "pack": str(old.pack),
            "least": str(old.least),
            "note": old.note, "price": "" if old.price is None else f"{old.price!r}",
            "lead": "" if old.lead is None else Message("{lead!r} d", lead=old.lead / 86400.0),
        }  # fmt: skip
        known = {name: text for name, text in lines.items() if text}
    return read(CatalogueItem, {**known, **typed}, system=system)


@app.command(
    "count",
    cls=helped("wetend stores count A-107 shelf=3 van=1",
               tables=[fields(StockCounted, without=("number",))]),
)  # fmt: skip
def count_stock(ctx: typer.Context, number: Number, given: Needed, as_json: AsJson = False) -> None:
    """Enter the count of an item; parts fitted later are deducted."""
    with opened(ctx) as desk:
        counted = noun_from(StockCounted, [f"number={number}", *given], system_of(ctx))
        entry = catalogue.count(desk, counted)
        sentence = Message(
            "Counted {number}: {shelf} on the shelf, {van} in the van.",
            number=counted.number,
            shelf=counted.shelf,
            van=counted.van,
        )
        Sheet(desk.system).kept(entry, sentence, as_json=as_json)


@app.command(cls=helped("wetend stores drop A-107"))
def drop(ctx: typer.Context, number: Number, as_json: AsJson = False) -> None:
    """Remove an item from the catalogue."""
    with opened(ctx) as desk:
        catalogue.drop(desk, number)
        if as_json:
            write_json({"number": number})
        else:
            Sheet(desk.system).line(Message("Removed: {number}.", number=number))


@app.command("items-out", cls=helped("wetend stores items-out --to catalogue.csv"))
def items_out(
    ctx: typer.Context,
    to: Annotated[str, typer.Option(help="File to write: .csv or .toml; - for CSV here.")] = "-",
    as_json: AsJson = False,
) -> None:
    """Write the catalogue as CSV or TOML, to fill in and import again."""
    if to != "-" and Path(to).suffix.lower() not in (".csv", ".toml"):
        raise BadInput(Message("Name the catalogue's file .csv or .toml."))
    may_be_written(to)
    with opened(ctx) as desk:
        if to == "-" and as_json:
            write_json(catalogue.items_of(desk))
            return
        text = catalogue_files.take_out(desk, as_toml=to.lower().endswith(".toml"))
        if to == "-":
            write_data(text)
            return
        write_file(to, text.encode())
        write_wrote(Sheet(desk.system), to, as_json=as_json)


@app.command("items-in", cls=helped("wetend stores items-in catalogue.csv"))
def items_in(
    ctx: typer.Context,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="CSV, spreadsheet or TOML.")],
    as_json: AsJson = False,
) -> None:
    """Import a catalogue: all of it or, if an item can't be used, nothing."""
    data = bytes_of(file, most=MOST_BYTES)
    with opened(ctx) as desk:
        held, added = catalogue_files.bring_in(desk, data)
        if as_json:
            write_json({"items": held, "added": added})
        else:
            Sheet(desk.system).line(
                Message("{held} items read; {added} entries added.", held=held, added=added)
            )
