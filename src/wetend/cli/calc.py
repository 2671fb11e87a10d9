"""``wetend calc``: any formula on its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any

import typer

from wetend.advice.calculators.calculator import Calculation
from wetend.advice.calculators.questions import grouped
from wetend.advice.calculators.response import Response
from wetend.cli.arguments import pairs
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_data, write_json
from wetend.cli.session import Session
from wetend.errors import BadInput, UnknownName
from wetend.lazy_import import LazyModule
from wetend.units.message import Message, joined
from wetend.units.show import show, significant
from wetend.workflows import calculators

app = command_app()
_desk: Any = LazyModule("wetend.cli.desk")
_filling: Any = LazyModule("wetend.workflows.filling")
"""Read in only where a calculator is filled from a depot."""


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


def _write_found(sheet: Sheet, words: str, *, as_json: bool) -> None:
    """The calculators that hold some words, under the question each answers."""
    groups = grouped(words)
    if as_json:
        write_json([{"question": q, "calculators": [c.name for c in all_]} for q, all_ in groups])
        return
    for question, found in groups:
        sheet.heading(question)
        for each in found:
            sheet.line(Message("  {name}: {title}", name=each.name, title=each.title))
    if not groups:
        sheet.line(Message("No calculator matches."))


def _from_pump(
    ctx: typer.Context, name: str, pump: str, coating: str
) -> tuple[dict[str, str], str]:
    """What a pump and a coating say of the inputs, and a sentence that says so."""
    calculators.find(name)
    with _desk.opened(ctx) as desk:
        filled = _filling.filled(desk, name, desk.pump(pump).key, coating)
    return calculators.texts_of(name, filled.inputs), str(filled.said)


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


def _write_done(sheet: Sheet, done: Calculation, found: Response | None, said: str) -> None:
    """An answer: what can hurt first, then the figures, how far to trust them, and whence."""
    for warned in done.warns:
        sheet.caution(warned)
    sheet.heading(done.calculator.title)
    if said:
        sheet.line(said)
    for key, value in done.outcome.values.items():
        out = done.calculator.outputs[key]
        values = value if isinstance(value, tuple) else (value,)
        outputs = joined(", ", (
            v if isinstance(v, str)
            else show(v, out.unit) if out.unit else significant(v, 4)
            for v in values
        ))  # fmt: skip
        sheet.line(Message("  {label}: {value}", label=out.label, value=outputs or Message("none")))
    if found is not None:
        sheet.line(calculators.spread_text(found, done, sheet.system))
        sheet.line(Message("Moves most with: {field}.", field=found.field.label))
    sheet.line(Message("Formula: {formula}", formula=done.calculator.formula))
    sheet.line(Message("Source: {source}", source=done.calculator.source))
    sheet.line(Message("Valid for: {validity}", validity=done.validity))
    for remark in done.cautions:
        sheet.line(Message("Note: {remark}", remark=remark))


@app.command(
    cls=helped("wetend calc --list", "wetend calc --find hose", "wetend calc cup-viscosity",
               "wetend calc line-loss --pump quay-air --coating alkyd-topcoat",
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
    find: Annotated[str, typer.Option(help="List those with these words, by question.")] = "",
    pump: Annotated[str, typer.Option(help="Fill in what this pump and its coating say.")] = "",
    coating: Annotated[str, typer.Option(help="With --pump: of this coating; else the last.")] = "",
    chart: Annotated[
        bool, typer.Option("--chart", help="Write the answer's chart as SVG instead.")
    ] = False,
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
    if find:
        _write_found(sheet, find, as_json=as_json)
        return
    if not name:
        raise BadInput(Message("Name a calculator; `wetend calc --list` shows all."))
    if not (given or pump or as_json):
        _write_help(sheet, name)
        return
    _known(name, given or [])
    typed, said = _from_pump(ctx, name, pump, coating) if pump else ({}, "")
    done = calculators.run(name, {**typed, **pairs(given or [])})
    found = calculators.response(done)
    if chart:
        if found is None:
            raise BadInput(Message("This calculator has no single number to draw its answer over."))
        write_data(calculators.drawn(found, done))
        return
    if as_json:
        write_json({**done.as_json(), "response": calculators.response_json(found, done)})
        return
    _write_done(sheet, done, found, said)
