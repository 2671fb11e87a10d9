"""``wetend stores``: the box for one call, what to hold, the order list."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from wetend.advice.stores import StockPlan
from wetend.cli.desk import noun_from, opened, system_of
from wetend.cli.output import Sheet, write_file, write_json
from wetend.cli.stage import VisitName
from wetend.errors import BadInput
from wetend.pump.costs import Costs
from wetend.units import kinds
from wetend.units.parse import read_quantity
from wetend.units.quantity import M3, unit_of
from wetend.units.show import chance_text
from wetend.workflows import stores, visits

app = typer.Typer(
    add_completion=False, rich_markup_mode=None, no_args_is_help=True,
    help="What to carry on a call, what to hold, what to order.",
)  # fmt: skip
AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON, SI.")]
Given = Annotated[
    list[str] | None, typer.Argument(help="Costs as field=value, such as crew_hour=220.")
]
Lead = Annotated[str, typer.Option(help="From order to shelf, like 21d.")]
Fill = Annotated[str, typer.Option(help="Chance of not running out, like 95%.")]
Have = Annotated[
    list[str] | None, typer.Option("--have", help="On the shelf: KEY=NUMBER; may be given often.")
]


def shelf(have: list[str] | None) -> dict[str, int]:
    """Numbers on the shelf by key.

    Raises:
        BadInput: one can't be read.
    """
    found = {}
    for text in have or []:
        key, sign, number = text.partition("=")
        if not sign or not number.strip().isdigit():
            raise BadInput(f"“{text[:60]}” is not KEY=NUMBER.")
        found[key.strip()] = min(int(number), 10**6)
    return found


def write_plan(sheet: Sheet, plan: StockPlan) -> None:
    """Levels and orders as text."""
    sheet.table(
        ["key", "part", "fits", "used in lead time", "hold", "by cost", "there", "order"],
        [[line.key, line.title, ", ".join(line.fits), f"{line.demand:.2f}", str(line.hold),
          str(line.balance), str(line.have), str(line.order)] for line in plan.lines],
    )  # fmt: skip
    sheet.line(f"To be held: {plan.held_cost:.0f}. To order: {plan.order_cost:.0f}.")


@app.command("list")
def list_all(
    ctx: typer.Context, costs: Given = None, lead: Lead = "21d", fill: Fill = "95%",
    have: Have = None, as_json: AsJson = False,
) -> None:  # fmt: skip
    """Stock levels for every part the pumps take, shared ones together."""
    with opened(ctx) as desk:
        plan = stores.plan(
            desk, noun_from(Costs, costs or [], system_of(ctx)),
            lead=read_quantity(lead, kinds.TIME, bare="d"),
            fill=read_quantity(fill, kinds.RATIO, bare="1"), have=shelf(have),
        )  # fmt: skip
        if as_json:
            write_json(plan)
        else:
            write_plan(Sheet(desk.system), plan)


@app.command()
def order(
    ctx: typer.Context, costs: Given = None, lead: Lead = "21d", fill: Fill = "95%",
    have: Have = None,
    to: Annotated[str, typer.Option(help="File to write: .csv or .pdf; - for CSV here.")] = "-",
) -> None:  # fmt: skip
    """Write the order list as CSV or PDF."""
    if to != "-" and Path(to).suffix.lower() not in (".csv", ".pdf"):
        raise BadInput("Name the order list .csv or .pdf.")
    with opened(ctx) as desk:
        plan = stores.plan(
            desk, noun_from(Costs, costs or [], system_of(ctx)),
            lead=read_quantity(lead, kinds.TIME, bare="d"),
            fill=read_quantity(fill, kinds.RATIO, bare="1"), have=shelf(have),
        )  # fmt: skip
        if to == "-":
            sys.stdout.write(stores.order_csv(plan))
            return
        pdf = Path(to).suffix.lower() == ".pdf"
        write_file(to, stores.order_pdf(desk, plan) if pdf else stores.order_csv(plan).encode())
        Sheet(desk.system).line(f"Wrote {to}")


@app.command()
def box(
    ctx: typer.Context,
    name: VisitName,
    room: Annotated[str, typer.Option(help="Room in the box, like 2L.")] = "2L",
    as_json: AsJson = False,
) -> None:
    """What to carry on one call for the best chance of mending it at the first visit."""
    size = read_quantity(room, kinds.VOLUME, bare="L")
    with opened(ctx) as desk:
        seen = stores.box(desk, visits.find(desk, name), room=size)
        if as_json:
            write_json({"faults": seen.faults, "from_checks": seen.from_checks, "box": seen.box,
                        "limit": seen.limit})  # fmt: skip
            return
        sheet = Sheet(desk.system)
        sheet.heading(
            f"Mended at the first visit: {chance_text(seen.box.chance)} "
            f"(with nothing {chance_text(seen.box.empty_chance)}, "
            f"with everything {chance_text(seen.box.full_chance)})"
        )
        for item, (_, without) in zip(seen.box.items, seen.box.without, strict=True):
            sheet.line(
                f"- {item.title}, {sheet.show(item.room, unit_of(M3))}; without it "
                f"{chance_text(without)}"
            )
        basis = "the running checks" if seen.from_checks else "the complaint and the parts' lives"
        sheet.line(f"Weighed by {basis}.")
