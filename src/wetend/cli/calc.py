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
from wetend.units.message import Message, joined
from wetend.units.show import show, significant
from wetend.workflows import calculators

app = command_app()


def _write_list(sheet: Sheet) -> None:
    for entry in calculators.catalogue():
        fields = joined(
            " ", (f"{f['name']}=" if f["required"] else f"[{f['name']}=]" for f in entry["fields"])
        )
        sheet.line(Message("{entry}  {fields}", entry=entry["name"], fields=fields))


def _write_help(sheet: Sheet, name: str) -> None:
    calculator = calculators.find(name)
    sheet.heading(calculator.title)
    for f in calculator.fields:
        need = "" if f.required else Message(" (optional)")
        unit = Message(", like {example}", example=f.unit.kind.example) if f.unit else ""
        choices = Message(": {choices}", choices=joined(", ", f.choices)) if f.choices else ""
        sheet.line(
            Message(
                "  {name}={unit}{choices}{need} {hint}",
                name=f.name,
                unit=unit,
                choices=choices,
                need=need,
                hint=f.hint,
            ).rstrip()
        )
    typed = joined(
        " ", (f"{k}={v!r}" if " " in v else f"{k}={v}" for k, v in calculator.example.items())
    )
    sheet.line(Message("Example: wetend calc {name} {typed}", name=calculator.name, typed=typed))


def _known(name: str, given: Sequence[str]) -> None:
    """Refuse a name that is none, before what follows it is read.

    Raises:
        UnknownName: there is no such calculator; a name in two words counts as one.
    """
    try:
        calculators.find(name)
    except UnknownName as unknown:
        whole = f"{name}-{given[0]}" if given else ""
        if whole not in calculators.names():
            raise
        raise UnknownName(
            Message(
                "There is no calculator “{name}”; did you mean {whole}?", name=name, whole=whole
            )
        ) from unknown


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
        raise BadInput(Message("Name a calculator; `wetend calc --list` shows all."))
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
        outputs = joined(", ", (
            v if isinstance(v, str)
            else show(v, out.unit) if out.unit else significant(v, 4)
            for v in values
        ))  # fmt: skip
        sheet.line(Message("  {label}: {value}", label=out.label, value=outputs or Message("none")))
    sheet.line(Message("Formula: {formula}", formula=done.calculator.formula))
    sheet.line(Message("Source: {source}", source=done.calculator.source))
    sheet.line(Message("Valid for: {validity}", validity=done.validity))
    for remark in done.cautions:
        sheet.line(Message("Note: {remark}", remark=remark))
