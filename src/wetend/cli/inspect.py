"""``wetend inspect``: parts measured and judged."""

from __future__ import annotations

from typing import Annotated, cast

import typer

from wetend.advice.inspect.judge import Check
from wetend.advice.safety.site_hazards import at_the_bench
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet, word
from wetend.cli.stage import keeper, save_and_show
from wetend.errors import BadInput, UnknownName
from wetend.pump.measurements import Measured
from wetend.records.entries import PAYLOADS
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.units.quantity import LeakFlow, unit_of
from wetend.units.show import chance_text
from wetend.units.suggestions import near_or_all
from wetend.workflows import inspect
from wetend.workflows.desk import Desk
from wetend.workflows.inspect import MEASURED_KINDS, InspectView

app = command_app()


def _limit(sheet: Sheet, check: Check) -> str:
    """A check's limit in the person's units."""
    low, high = (
        None if v is None else sheet.show(v, check.unit) for v in (check.lower, check.upper)
    )
    if low and high:
        return Message("Limit {low} to {high}", low=low, high=high)
    return Message("At most {high}", high=high) if high else Message("At least {low}", low=low)


def write(sheet: Sheet, seen: InspectView) -> None:
    """Every judged part, the worst first; before a part is measured, what can hurt in it."""
    if not seen.visit.closed:
        for each in at_the_bench(seen.visit.coating):
            sheet.caution(each)
    if not seen.judgements:
        sheet.line(
            Message(
                "Nothing measured yet. Parts: {parts}.",
                parts=joined(", ", MEASURED_KINDS),
            )
        )
    for judged in seen.judgements:
        sheet.heading(
            Message("{verdict}  {title}", verdict=sheet.verdict(judged.verdict), title=judged.title)
        )
        sheet.said(Message("  {why}", why=judged.why))
        for check in judged.checks:
            sheet.line(
                Message(
                    "  {title}: {show} (± {uncertainty}), {probability} chance that it meets the "
                    "limit: {verdict}. {why}",
                    title=check.title,
                    show=sheet.show(check.value, check.unit),
                    uncertainty=sheet.show(check.uncertainty, check.unit),
                    probability=chance_text(check.probability),
                    verdict=word(check.verdict),
                    why=check.why,
                )
            )
            if check.upper is not None or check.lower is not None:
                sheet.said(
                    Message(
                        "    {limit}, {limit_from}.",
                        limit=_limit(sheet, check),
                        limit_from=word(check.limit_from),
                    )
                )
        if judged.leak is not None:
            sheet.figure(Message("leak at working pressure"), judged.leak, unit_of(LeakFlow))
        for advice in judged.advice:
            sheet.said(Message("  {advice}", advice=advice))


@app.command(
    cls=helped(
        'wetend inspect last rod diameters="26.97, 26.98 mm" chrome=whole',
        'wetend inspect last seat chip_depth="150 um" chip_width="1.5 mm" concentric=yes',
        tables=[fields(PAYLOADS[k], f"Fields of {k}") for k in MEASURED_KINDS],
    )
)
def command(
    ctx: typer.Context,
    name: VisitName,
    part: Annotated[str, typer.Argument(metavar="PART", help=" | ".join(MEASURED_KINDS))] = "",
    given: Given = None,
    as_json: AsJson = False,
) -> None:
    """Enter one part's measurements, and show whether to keep, turn, dress or replace it.

    A number given without a unit is in the unit that stands behind the field below.
    """
    if part and part not in MEASURED_KINDS:
        known = near_or_all(part, MEASURED_KINDS, Message("there are"))
        raise UnknownName(
            Message("“{part}” is not a part to measure; {known}", part=part[:40], known=known)
        )
    if part and not given:
        raise BadInput(
            Message("Give what was measured, such as {next}=…", next=next(iter(_fields(part))))
        )
    noun = next((PAYLOADS[k] for k in MEASURED_KINDS if k == part), None)
    keep = keeper(noun, given, _save) if noun else None
    save_and_show(
        ctx, name, keep=keep, view=inspect.view, write=write, as_json=as_json, stage="inspect"
    )


def _save(desk: Desk, visit_id: str, measured: Noun) -> None:
    inspect.save(desk, visit_id, cast(Measured, measured))


def _fields(part: str) -> list[str]:
    noun = next(PAYLOADS[k] for k in MEASURED_KINDS if k == part)
    return list(noun.model_fields)[1:] or list(noun.model_fields)
