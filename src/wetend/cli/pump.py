"""``wetend pump``: the fleet, and describing a pump."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import noun_from, opened, system_of
from wetend.cli.handover import write_repack
from wetend.cli.output import Sheet, write_json
from wetend.cli.record_text import show_record
from wetend.errors import BadInput, NotFound
from wetend.pump.proportion import MEASURE, KnownSizes, in_proportion
from wetend.pump.toml import DEMO_PUMPS, demo_pump, pump_schema, to_toml
from wetend.records.fold import VisitSummary
from wetend.units.quantity import M, M3Small, unit_of
from wetend.workflows import life, pumps
from wetend.workflows import record as entered

app = typer.Typer(
    add_completion=False, rich_markup_mode=None, no_args_is_help=True,
    help="List, show and describe pumps.",
)  # fmt: skip
AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON, SI.")]


@app.command("list")
def list_all(ctx: typer.Context, as_json: AsJson = False) -> None:
    """Every pump of the depot."""
    with opened(ctx) as desk:
        lines = pumps.list_pumps(desk)
        if as_json:
            write_json([{"key": p.pump.key, "name": p.pump.name, "site": p.pump.site,
                         "build": p.pump.build, "visits": p.visits,
                         "open_visit": p.open_visit.id if p.open_visit else None}
                        for p in lines])  # fmt: skip
            return
        Sheet(desk.system).table(
            ["key", "name", "site", "visits", "open visit"],
            [[p.pump.key, p.pump.name, p.pump.site, str(p.visits),
              p.open_visit.id[-6:] if p.open_visit else ""] for p in lines],
        )  # fmt: skip


@app.command()
def show(
    ctx: typer.Context, key: Annotated[str, typer.Argument(help="The pump's key.")],
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """One pump, its history and its next repack."""
    with opened(ctx) as desk:
        seen, repack = pumps.view(desk, key), life.repack_of_pump(desk, key)
        if as_json:
            write_json({**seen.__dict__, "repack": repack})
            return
        sheet = Sheet(desk.system)
        sheet.heading(f"{seen.pump.name} ({seen.pump.key})  {seen.pump.build}  {seen.pump.site}")
        sheet.figure("bore", seen.pump.cylinder.bore, unit_of(M))
        sheet.figure("rod", seen.pump.rod.diameter, unit_of(M))
        sheet.figure("stroke", seen.pump.stroke, unit_of(M))
        sheet.figure("a cycle delivers", seen.pump.displacement, unit_of(M3Small))
        sheet.table(
            ["visit", "started", "complaint", "fitted", "state"],
            [[v.id[-6:], f"{v.started:%Y-%m-%d}", v.complaint[:60], v.fitted[:60],
              _state(v)] for v in seen.history],
        )  # fmt: skip
        write_repack(sheet, repack)


def _state(visit: VisitSummary) -> str:
    if not visit.closed:
        return "open"
    return f"signed off, {visit.proof}" if visit.proof in ("fail", "not proven") else "signed off"


@app.command()
def describe(
    ctx: typer.Context,
    file: Annotated[Path, typer.Argument(help="TOML file, or - for standard input.")],
    replace: Annotated[
        bool, typer.Option("--replace", help="Allow a later description of a known pump.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Keep a pump described in a TOML file; `wetend pump example` shows one."""
    if str(file) == "-":
        text = sys.stdin.read(300_000)
    elif not file.is_file():
        raise NotFound(f"There is no file “{file}”.")
    else:
        try:
            text = file.read_text("utf-8")
        except UnicodeDecodeError as error:
            raise BadInput(f"“{file}” is not UTF-8 text.") from error
    with opened(ctx, begins=True) as desk:
        pump = pumps.describe_toml(desk, text, new=not replace)
        if as_json:
            write_json({"key": pump.key, "name": pump.name})
        else:
            Sheet(desk.system).line(f"Kept pump {pump.key} ({pump.name}).")


@app.command()
def toml(ctx: typer.Context, key: Annotated[str, typer.Argument(help="The pump's key.")]) -> None:
    """A pump's description as TOML."""
    with opened(ctx) as desk:
        sys.stdout.write(to_toml(desk.pump(key)))


@app.command()
def example(
    ctx: typer.Context,
    key: Annotated[str, typer.Argument(help=" or ".join(DEMO_PUMPS))] = DEMO_PUMPS[0],
    sizes: Annotated[
        list[str] | None,
        typer.Argument(help="Your pump's bore=, rod= and stroke=, and what else you know: ratio=, "
                            "outlet_pressure=, hose_bore=, hose_length=, orifice="),
    ] = None,
) -> None:  # fmt: skip
    """A demo pump's TOML, to start a description of your own from; with sizes, in proportion."""
    pump = demo_pump(key)
    if sizes:
        pump = in_proportion(pump, noun_from(KnownSizes, [f"like={key}", *sizes], system_of(ctx)))
        typer.echo(f"In proportion to {key}: a guess. Measure {'; '.join(MEASURE)}.", err=True)
    sys.stdout.write(to_toml(pump))


@app.command()
def schema() -> None:
    """JSON Schema of a pump's TOML."""
    write_json(pump_schema())


@app.command()
def record(
    ctx: typer.Context, key: Annotated[str, typer.Argument(help="The pump's key.")],
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Uses, parts fitted and visits entered for a pump, and what was taken back."""
    with opened(ctx) as desk:
        show_record(Sheet(desk.system), entered.of_pump(desk, key), as_json=as_json)


@app.command()
def withdraw(
    ctx: typer.Context, key: Annotated[str, typer.Argument(help="The pump's key.")],
    entry: Annotated[str, typer.Argument(help="The entry's id or its last letters.")],
    reason: Annotated[str, typer.Option(help="Why.")] = "",
) -> None:  # fmt: skip
    """Take a use, a part fitted or a whole visit out of what is shown; it stays in the record."""
    with opened(ctx) as desk:
        entered.withdraw(desk, entered.find(entered.of_pump(desk, key), entry).id, reason)


@app.command("put-back")
def put_back(
    ctx: typer.Context, key: Annotated[str, typer.Argument(help="The pump's key.")],
    entry: Annotated[str, typer.Argument(help="The entry's id or its last letters.")],
) -> None:  # fmt: skip
    """Show an entry again that was taken back."""
    with opened(ctx) as desk:
        entered.put_back(desk, entered.find(entered.of_pump(desk, key), entry).id)
