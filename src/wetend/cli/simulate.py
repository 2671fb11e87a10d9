"""``wetend simulate``: a pump with a fault, beside a sound one."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from wetend.advice.faults.tables import MOTION_FAULTS
from wetend.advice.simulation.view import fault_sizes
from wetend.cli.desk import system_of
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, may_be_written, one_output, write_data, write_file, write_json
from wetend.cli.sources import coating_of, desk_if_any, pump_of
from wetend.drawings import traces
from wetend.drawings.ink import standalone
from wetend.errors import BadInput
from wetend.pump.toml import DEMO_PUMPS, demo_coatings
from wetend.units.message import Message, joined
from wetend.units.show import show
from wetend.workflows import simulate
from wetend.workflows.simulate import SimulateView

app = command_app()


class Gun(StrEnum):
    """How the gun is worked."""

    OPEN = "open"
    PULSED = "pulsed"
    STALLED_DOWN = "stalled-down"
    STALLED_UP = "stalled-up"


def _faults(given: list[str]) -> dict[str, float]:
    typed: dict[str, str] = {}
    for each in given:
        name, _, size = each.partition("=")
        if name.strip() in typed:
            raise BadInput(Message("The fault “{strip}” is given twice.", strip=name.strip()))
        typed[name.strip()] = size
    return fault_sizes(typed)


def _keep(path: Path, text: str, sheet: Sheet, *, as_json: bool) -> None:
    if str(path) == "-":
        write_data(text)
        return
    write_file(path, text.encode())
    if not as_json:
        sheet.line(Message("Wrote {path}.", path=path))


def _write(sheet: Sheet, seen: SimulateView) -> None:
    sheet.heading(
        Message(
            "{pump}, {coating}: {faults}",
            pump=seen.pump.name,
            coating=seen.coating.name,
            faults=joined("; ", seen.faults) or Message("no fault"),
        )
    )

    def text_of(value: float | None, row: simulate.FigureRow) -> str:
        return "none" if value is None else sheet.show(value, row.unit)

    sheet.table(
        ["", Message("this pump"), Message("sound"), ""],
        [[row.label, text_of(row.this, row), text_of(row.sound, row), "<" if row.differs else ""]
         for row in seen.figures],
    )  # fmt: skip
    sheet.line(Message("Marked <: more than 5 % apart."))
    sheet.line(Message("Source: {source}", source=seen.working.source))
    sheet.line(Message("Valid for: {validity}", validity=seen.working.validity))
    sheet.line(seen.only)


def _list(sheet: Sheet, *, as_json: bool) -> None:
    if as_json:
        write_json([
            {"name": k.name, "title": k.title, "size": k.size, "unit": k.unit,
             "typical": k.typical, "most": k.most} for k in MOTION_FAULTS.values()
        ])  # fmt: skip
        return
    rows = [[k.name, k.title, k.size, show(k.typical, k.unit, sheet.system)]
            for k in MOTION_FAULTS.values()]  # fmt: skip
    sheet.table([Message("fault"), "", Message("size"), Message("typical")], rows)


@app.command(
    cls=helped(
        "wetend simulate --list", "wetend simulate --fault foot-valve=0.1mm --gun stalled-down"
    )
)
def command(
    ctx: typer.Context,
    pump: Annotated[str, typer.Option(help="A pump's key, or a TOML file.")] = DEMO_PUMPS[0],
    coating: Annotated[str, typer.Option(help="A coating's key, or a TOML file.")] = "",
    fault: Annotated[
        list[str] | None,
        typer.Option(
            help="NAME=SIZE, such as foot-valve=0.1mm; a bare number is SI, NAME alone "
            "a typical size."
        ),
    ] = None,
    cycles: Annotated[int, typer.Option(help="Cycles to show.", min=1, max=60)] = 1,
    gun: Annotated[Gun, typer.Option(help="How the gun is worked.")] = Gun.OPEN,
    csv: Annotated[
        Path | None, typer.Option(help="Write the traces as a table, SI; - for standard output.")
    ] = None,
    svg: Annotated[
        Path | None, typer.Option(help="Write the traces as a drawing; - for standard output.")
    ] = None,
    listed: Annotated[bool, typer.Option("--list", help="List the faults.")] = False,
    as_json: AsJson = False,
) -> None:
    """Simulate a pump: stroke times, flow, creep, filling, valve closing."""
    system = system_of(ctx)
    sheet = Sheet(system)
    if listed:
        _list(sheet, as_json=as_json)
        return
    one_output(csv=str(csv) == "-", svg=str(svg) == "-", json=as_json)
    may_be_written(csv, svg)
    sizes = _faults(fault or [])
    with desk_if_any(ctx, pump, coating) as desk:
        seen = simulate.played(
            pump_of(desk, pump), coating_of(desk, coating or demo_coatings()[0].key), sizes,
            cycles=cycles, gun=gun.value,
        )  # fmt: skip
    if csv:
        _keep(csv, simulate.as_csv(seen), sheet, as_json=as_json)
    if svg:
        keys = tuple(key for group in traces.GROUPS.values() for key in group)
        title = Message(
            "{pump}: {faults}",
            pump=seen.pump.name,
            faults=joined("; ", seen.faults) or Message("no fault"),
        )
        drawn = traces.panels(title, seen.this, seen.sound, keys, reader=sheet.reader)
        _keep(svg, standalone(drawn) + "\n", sheet, as_json=as_json)
    if as_json:
        write_json(simulate.as_json(seen))
    elif not (csv or svg):
        _write(sheet, seen)
