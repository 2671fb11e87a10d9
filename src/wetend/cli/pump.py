"""``wetend pump``: the fleet, and describing a pump."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import noun_from, opened, system_of
from wetend.cli.field_rows import fields
from wetend.cli.handover import write_repack
from wetend.cli.help_format import group_app, helped
from wetend.cli.options import AsJson, EntryName, PumpKey
from wetend.cli.output import (
    Sheet,
    may_be_written,
    one_output,
    write_data,
    write_file,
    write_json,
)
from wetend.cli.read_file import text_of
from wetend.cli.record_text import show_record, write_put_back, write_taken_back
from wetend.drawings.acts.draw import draw as drawn
from wetend.drawings.acts.draw import steps_drawn
from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.proportion import MEASURE, KnownSizes, in_proportion
from wetend.pump.readable import readable
from wetend.pump.toml import DEMO_PUMPS, demo_pump, pump_schema
from wetend.records.fold import VisitSummary
from wetend.reports.qr import address_code
from wetend.units.message import Message, joined
from wetend.units.quantity import M, M3Small, unit_of
from wetend.workflows import life, pumps, removal
from wetend.workflows import record as entered
from wetend.workflows.gc_freeze import read_in

app = group_app(Message("List, show and describe pumps."))


@app.command("list", cls=helped("wetend pump list"))
def list_all(
    ctx: typer.Context,
    removed: Annotated[
        bool, typer.Option("--removed", help="Those removed from the lists instead.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """List the pumps of the depot."""
    with opened(ctx) as desk:
        lines = pumps.list_removed(desk) if removed else pumps.list_pumps(desk)
        for lost in pumps.left_out(desk):
            sentence = Message(
                "Left out: pump “{pump}”. {why} Describe it again.",
                pump=lost.entry.pump,
                why=lost.why,
            )
            typer.echo(sentence, err=True)
        if as_json:
            write_json([{"key": p.pump.key, "name": p.pump.name, "site": p.pump.site,
                         "build": p.pump.build, "visits": p.visits,
                         "open_visit": p.open_visit.id if p.open_visit else None}
                        for p in lines])  # fmt: skip
            return
        Sheet(desk.system).table(
            ["key", "name", "site", "visits", Message("open visit")],
            [[p.pump.key, p.pump.name, p.pump.site, str(p.visits),
              p.open_visit.id[-6:] if p.open_visit else ""] for p in lines],
        )  # fmt: skip


@app.command(cls=helped("wetend pump show quay-air"))
def show(
    ctx: typer.Context, key: PumpKey,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Show one pump, its history and its next repack."""
    with opened(ctx) as desk:
        seen, repack = pumps.view(desk, key), life.repack_of_pump(desk, key)
        out = removal.view(desk, key)
        if as_json:
            write_json({**seen.__dict__, "repack": repack, "removed": out.removed})
            return
        sheet = Sheet(desk.system)
        sheet.heading(
            Message(
                "{name} ({key})  {build}  {site}",
                name=seen.pump.name,
                key=seen.pump.key,
                build=seen.pump.build,
                site=seen.pump.site,
            )
        )
        if out.removed:
            sheet.line(_removed_line(out))
        sheet.figure(Message("bore"), seen.pump.cylinder.bore, unit_of(M))
        sheet.figure(Message("rod"), seen.pump.rod.diameter, unit_of(M))
        sheet.figure(Message("stroke"), seen.pump.stroke, unit_of(M))
        sheet.figure(Message("a cycle delivers"), seen.pump.displacement, unit_of(M3Small))
        sheet.table(
            [Message("visit"), Message("started"), Message("complaint"), Message("fitted"),
             Message("state")],
            [[v.id[-6:], f"{v.started:%Y-%m-%d}", v.complaint[:60], v.fitted[:60],
              _state(v)] for v in seen.history],
        )  # fmt: skip
        write_repack(sheet, repack)


def _state(visit: VisitSummary) -> str:
    if not visit.closed:
        return "open"
    return (
        Message("signed off, {proof}", proof=visit.proof)
        if visit.proof in ("fail", "not proven")
        else Message("signed off")
    )


@app.command(cls=helped("wetend pump describe pump.toml"))
def describe(
    ctx: typer.Context,
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="TOML file, or - for standard input.")
    ],
    replace: Annotated[
        bool, typer.Option("--replace", help="Allow a new description of a known pump.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Save a pump described in a TOML file; `wetend pump example` writes one to edit."""
    text = text_of(file)
    with opened(ctx, begins=True) as desk:
        pump = pumps.describe_toml(desk, text, new=not replace)
        if as_json:
            write_json({"key": pump.key, "name": pump.name})
        else:
            Sheet(desk.system).line(
                Message("Saved pump {key} ({name}).", key=pump.key, name=pump.name)
            )


def _removed_line(out: removal.RemovalView) -> str:
    by = Message(" by {who}", who=out.who) if out.who else ""
    why = Message(": {reason}", reason=out.reason) if out.reason else ""
    at = Message("{at:%Y-%m-%d %H:%M} UTC", at=out.at) if out.at else ""
    return Message(
        "Removed from the lists {at}{by}{why}. `wetend pump restore {key}` undoes it.",
        at=at,
        by=by,
        why=why,
        key=out.pump.key,
    )


@app.command(cls=helped('wetend pump remove quay-air --reason "described by mistake"'))
def remove(
    ctx: typer.Context, key: PumpKey,
    reason: Annotated[str, typer.Option(help="Why.")] = "", as_json: AsJson = False,
) -> None:  # fmt: skip
    """Remove a pump from lists, fleet and stores; nothing entered for it is deleted."""
    with opened(ctx) as desk:
        out = removal.remove(desk, key, reason)
        if as_json:
            write_json(out)
            return
        sheet = Sheet(desk.system)
        sheet.line(_removed_line(out))
        if out.attached:
            sheet.line(
                Message(
                    "It has {attached}; all are kept: `wetend pump show {key}`.",
                    attached=out.attached,
                    key=key,
                )
            )


@app.command("restore", cls=helped("wetend pump restore quay-air"))
def restore(ctx: typer.Context, key: PumpKey, as_json: AsJson = False) -> None:
    """Restore a pump to the lists."""
    with opened(ctx) as desk:
        out = removal.restore(desk, key)
        if as_json:
            write_json(out)
        else:
            Sheet(desk.system).line(
                Message("{name} ({key}) is in the lists.", name=out.pump.name, key=out.pump.key)
            )


@app.command(cls=helped("wetend pump toml quay-air"))
def toml(ctx: typer.Context, key: PumpKey, as_json: AsJson = False) -> None:
    """Write a pump's description as TOML."""
    with opened(ctx) as desk:
        _write_described(desk.pump(key), as_json=as_json)


@app.command(cls=helped(
    "wetend pump draw quay-air --step foot-crack > step.svg",
    "wetend pump draw quay-air --step parts > parts.svg",
    "wetend pump draw quay-air --step measure-rod > rod.svg",
))  # fmt: skip
def draw(
    ctx: typer.Context, key: PumpKey,
    step: Annotated[
        str,
        typer.Option(
            help="An operation of its strip, `parts`, `measure-rod`, `rod-dent`, `check-creep`, "
            "`prove-stall` and the like; blank: the whole pump."
        ),
    ] = "",
    back: Annotated[bool, typer.Option("--back", help="Put back, not taken off.")] = False,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Draw a pump as SVG: whole, apart, at a step, where a part is measured, what it looks like."""
    with opened(ctx) as desk:
        pump, reader = desk.pump(key), desk.reader
    svg = drawn(pump, step, back=back, reader=reader)
    if as_json:
        write_json({"key": pump.key, "step": step, "svg": svg, "steps": steps_drawn(pump)})
    else:
        write_data(svg)


@app.command(cls=helped("wetend pump label quay-air http://192.168.1.20:8642 > label.svg"))
def label(
    ctx: typer.Context,
    key: PumpKey,
    server: Annotated[str, typer.Argument(metavar="ADDRESS", help="Of the server, as phones use.")],
    as_json: AsJson = False,
) -> None:
    """Write the QR code that opens a pump's page, as SVG to stick on the pump."""
    with opened(ctx) as desk:
        pump = desk.pump(key)
    if not server.startswith(("http://", "https://")):
        raise BadInput(Message("Give the server's address as phones use it: http:// or https://."))
    address = f"{server.rstrip('/')}/pumps/{pump.key}"
    svg = address_code(address)
    if as_json:
        write_json({"key": pump.key, "address": address, "svg": svg})
    else:
        write_data(svg)


class Placard(StrEnum):
    """Which sheet."""

    WALL_SHEET = "wall-sheet"
    POCKET_CARD = "pocket-card"


_PLACARDS = {
    Placard.WALL_SHEET: "write_wall_sheet", Placard.POCKET_CARD: "write_pocket_card",
}  # fmt: skip
"""What writes each of them, in `wetend.workflows.reports`: read in only then."""


@app.command("print", cls=helped(
    "wetend pump print quay-air --kind pocket-card --to card.pdf",
))  # fmt: skip
def print_sheet(
    ctx: typer.Context, key: PumpKey,
    kind: Annotated[Placard, typer.Option(help="Which sheet.")] = Placard.WALL_SHEET,
    to: Annotated[
        Path | None,
        typer.Option(help="File to write, - for standard output; default named after the pump."),
    ] = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Write a wall sheet of a pump taken apart, or a pocket card of its seal stack, as PDF."""
    one_output(to=str(to) == "-", json=as_json)
    may_be_written(to)
    with opened(ctx) as desk:
        paper = getattr(read_in("wetend.workflows.reports"), _PLACARDS[kind])(desk, key)
    if str(to) == "-":
        sys.stdout.buffer.write(paper.pdf)
        return
    path = to or Path(paper.name)
    write_file(path, paper.pdf)
    if as_json:
        write_json({"path": str(path), "bytes": len(paper.pdf)})
    else:
        Sheet(system_of(ctx)).line(Message("Wrote {path}.", path=path))


def _write_described(pump: Pump, *, as_json: bool) -> None:
    if as_json:
        write_json(pump)
    else:
        write_data(readable(pump))


@app.command(
    cls=helped(
        "wetend pump example > pump.toml",
        "wetend pump example quay-air bore=45mm rod=32mm stroke=100mm supply_rated=7bar "
        "outlet_pressure=300bar hose_rated=350bar filter_rated=350bar nozzle_rated=400bar "
        "> pump.toml",
        tables=[fields(KnownSizes, "Sizes of your pump, with the unit of a "
                                   "bare number", without=("like",))],
    )
)  # fmt: skip
def example(
    ctx: typer.Context,
    key: Annotated[
        str, typer.Argument(metavar="EXAMPLE", help=" or ".join(DEMO_PUMPS))
    ] = DEMO_PUMPS[0],
    sizes: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="SIZE=VALUE", help="Your pump's bore, rod and stroke, and what else you know."
        ),
    ] = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Write an example description to edit, or one scaled to your pump's sizes."""
    pump = demo_pump(key)
    if sizes:
        pump = in_proportion(pump, noun_from(KnownSizes, [f"like={key}", *sizes], system_of(ctx)))
        typer.echo(
            Message(
                "Scaled from {key}: a guess. Measure {measure}.",
                key=key,
                measure=joined("; ", MEASURE),
            ),
            err=True,
        )
    _write_described(pump, as_json=as_json)


@app.command(cls=helped("wetend pump schema > pump.schema.json"))
def schema(
    as_json: Annotated[bool, typer.Option("--json", help="No effect: it is always JSON.")] = True,  # noqa: ARG001
) -> None:
    """Write the JSON Schema of a pump's TOML."""
    write_json(pump_schema())


@app.command(cls=helped("wetend pump record quay-air"))
def record(
    ctx: typer.Context, key: PumpKey,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """List the use, parts fitted and visits entered for a pump, and what was withdrawn."""
    with opened(ctx) as desk:
        show_record(Sheet(desk.system), entered.of_pump(desk, key), as_json=as_json)


@app.command(cls=helped('wetend pump withdraw quay-air 7f3a2c --reason "another pump"'))
def withdraw(
    ctx: typer.Context, key: PumpKey,
    entry: EntryName,
    reason: Annotated[str, typer.Option(help="Why.")] = "", as_json: AsJson = False,
) -> None:  # fmt: skip
    """Withdraw a use, a part fitted or a visit; it stays in the record."""
    with opened(ctx) as desk:
        found = entered.find(entered.of_pump(desk, key), entry)
        taken = entered.withdraw(desk, found.id, reason)
        write_taken_back(Sheet(desk.system), taken, as_json=as_json)


@app.command("put-back", cls=helped("wetend pump put-back quay-air 7f3a2c"))
def put_back(
    ctx: typer.Context, key: PumpKey,
    entry: EntryName, as_json: AsJson = False,
) -> None:  # fmt: skip
    """Restore a withdrawn entry."""
    with opened(ctx) as desk:
        found = entered.find(entered.of_pump(desk, key), entry)
        write_put_back(Sheet(desk.system), entered.put_back(desk, found.id), as_json=as_json)
