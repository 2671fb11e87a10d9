"""``wetend calc``: any formula on its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from wetend.cli.arguments import pairs
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_json
from wetend.cli.session import Session
from wetend.errors import BadInput, UnknownName
from wetend.units.show import show, significant
from wetend.workflows import calculators

app = command_app()


def _write_list(sheet: Sheet) -> None:
    for entry in calculators.catalogue():
        fields = " ".join(
            f"{f['name']}=" if f["required"] else f"[{f['name']}=]" for f in entry["fields"]
        )
        sheet.line(f"{entry['name']}  {fields}")


def _write_help(sheet: Sheet, name: str) -> None:
    calculator = calculators.find(name)
    sheet.heading(calculator.title)
    for f in calculator.fields:
        need = "" if f.required else " (optional)"
        unit = f", like {f.unit.kind.example}" if f.unit else ""
        choices = f": {', '.join(f.choices)}" if f.choices else ""
        sheet.line(f"  {f.name}={unit}{choices}{need} {f.hint}".rstrip())
    typed = " ".join(
        f"{k}={v!r}" if " " in v else f"{k}={v}" for k, v in calculator.example.items()
    )
    sheet.line(f"Example: wetend calc {calculator.name} {typed}")


def _known(name: str, given: Sequence[str]) -> None:
    """Refuse a name that is none, before what follows it is read.

    Raises:
        UnknownName: there is no such calculator; a name in two words is told as one.
    """
    try:
        calculators.find(name)
    except UnknownName as unknown:
        whole = f"{name}-{given[0]}" if given else ""
        if whole not in calculators.names():
            raise
        raise UnknownName(f"There is no calculator “{name}”; did you mean {whole}?") from unknown


@app.command(
    cls=helped("wetend calc --list", "wetend calc cup-viscosity",
               "wetend calc cup-viscosity cup=ford-4 time=64s")
)  # fmt: skip
def calc(
    ctx: typer.Context,
    name: Annotated[
        str, typer.Argument(metavar="CALCULATOR", help="Name of the calculator; --list shows all.")
    ] = "",
    given: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="FIELD=VALUE", help="Such as pressure=200bar; a number without a unit is SI."
        ),
    ] = None,
    listed: Annotated[bool, typer.Option("--list", help="List all calculators.")] = False,
    as_json: AsJson = False,
) -> None:
    """Calculate any formula on its own: result, formula, source and range of validity.

    With a calculator's name alone, its fields with their units are listed.
    """
    session: Session = ctx.obj or Session()
    sheet = Sheet(session.units.value)
    if listed:
        if as_json:
            write_json(calculators.catalogue())
        else:
            _write_list(sheet)
        return
    if not name:
        raise BadInput("Name a calculator; `wetend calc --list` shows all.")
    if not given and not as_json:
        _write_help(sheet, name)
        return
    _known(name, given or [])
    done = calculators.run(name, pairs(given or []))
    if as_json:
        write_json(done.as_json())
        return
    for warned in done.warns:
        sheet.caution(warned)
    sheet.heading(done.calculator.title)
    for key, value in done.outcome.values.items():
        out = done.calculator.outputs[key]
        values = value if isinstance(value, tuple) else (value,)
        told = ", ".join(
            v if isinstance(v, str)
            else show(v, out.unit, sheet.system) if out.unit else significant(v, 4)
            for v in values
        )  # fmt: skip
        sheet.line(f"  {out.label}: {told or 'none'}")
    sheet.line(f"Formula: {done.calculator.formula}")
    sheet.line(f"Source: {done.calculator.source}")
    sheet.line(f"Valid for: {done.validity}")
    for remark in done.cautions:
        sheet.line(f"Note: {remark}")
