"""``wetend fault``: a fault explained, and what it looks like inside."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.advice.faults.tables import FAULTS
from wetend.cli.desk import system_of
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, may_be_written, write_file, write_json
from wetend.cli.sources import coating_of, desk_if_any, pump_of
from wetend.drawings.ink import standalone
from wetend.drawings.wet_end import inside
from wetend.pump.toml import DEMO_PUMPS, demo_coatings
from wetend.units.message import Message
from wetend.workflows import fault_inside
from wetend.workflows.fault_inside import InsideView

app = command_app()


def _list(sheet: Sheet, *, as_json: bool) -> None:
    if as_json:
        write_json([{"fault": f.id, "title": f.title} for f in FAULTS])
        return
    sheet.table([Message("fault"), ""], [[f.id, f.title] for f in FAULTS])


def _write(sheet: Sheet, seen: InsideView) -> None:
    sheet.heading(seen.fault.title)
    sheet.said(Message("Simulated with {size}, in {pump} with {coating}.", size=seen.size,
                       pump=seen.pump.name, coating=seen.coating.name))  # fmt: skip
    sheet.said(seen.sentence)
    for sight, why in seen.signs:
        sheet.said(Message("{sight}: {why}", sight=sight, why=why))
    for caution in seen.cautions:
        sheet.caution(caution)
    sheet.said(Message("Look at first: {what}", what=seen.fault.open_first))
    sheet.said(seen.only)


@app.command(
    cls=helped("wetend fault --list", "wetend fault foot-valve", "wetend fault air --svg air.svg")
)
def command(
    ctx: typer.Context,
    fault: Annotated[str, typer.Argument(metavar="FAULT", help="A fault; --list shows them.")] = "",
    pump: Annotated[str, typer.Option(help="A pump's key, or a TOML file.")] = DEMO_PUMPS[0],
    coating: Annotated[str, typer.Option(help="A coating's key, or a TOML file.")] = "",
    svg: Annotated[
        Path | None, typer.Option(help="Write the picture: this pump beside a sound one.")
    ] = None,
    listed: Annotated[bool, typer.Option("--list", help="List the faults.")] = False,
    as_json: AsJson = False,
) -> None:
    """Explain a fault: what happens inside at the moment that shows it, and what is seen."""
    sheet = Sheet(system_of(ctx))
    if listed or not fault:
        _list(sheet, as_json=as_json)
        return
    may_be_written(svg)
    with desk_if_any(ctx, pump, coating) as desk:
        seen = fault_inside.inside(
            fault, pump_of(desk, pump), coating_of(desk, coating or demo_coatings()[0].key)
        )
    if svg:
        drawn = inside.still(seen.pump, seen.this, seen.sound, seen.moment,
                             named=seen.fault.short, reader=sheet.reader)  # fmt: skip
        write_file(svg, standalone(drawn).encode())
    if as_json:
        write_json(fault_inside.as_json(seen))
    else:
        _write(sheet, seen)
