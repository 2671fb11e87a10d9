"""``wetend inspect``: parts measured and judged."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, cast

import typer

from wetend.advice.inspect.judge import Check
from wetend.advice.inspect.looks.look import Look
from wetend.advice.inspect.looks.table import looks_of
from wetend.advice.safety.site_hazards import at_the_bench
from wetend.cli.desk import opened
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet, plain, word, write_json
from wetend.cli.stage import keeper, save_and_show
from wetend.errors import BadInput, UnknownName
from wetend.pump.measurements import Measured, SeatMeasured
from wetend.records.entries import PAYLOADS
from wetend.units.fields import fields_of
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.units.noun import Noun
from wetend.units.parse import to_unit
from wetend.units.quantity import LeakFlow, unit_of
from wetend.units.show import chance_text
from wetend.units.suggestions import near_or_all
from wetend.workflows import inspect, visits
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
        "wetend inspect last rod --looks",
        tables=[fields(PAYLOADS[k], f"Fields of {k}") for k in MEASURED_KINDS],
    )
)
def command(
    ctx: typer.Context,
    name: VisitName,
    part: Annotated[str, typer.Argument(metavar="PART", help=" | ".join(MEASURED_KINDS))] = "",
    given: Given = None,
    looks: Annotated[
        bool, typer.Option("--looks", help="What the part may look like; saves nothing.")
    ] = False,
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
    if looks:
        _show_looks(ctx, name, part, as_json=as_json)
        return
    if part and not given:
        raise BadInput(
            Message("Give what was measured, such as {next}=…", next=next(iter(_fields(part))))
        )
    noun = next((PAYLOADS[k] for k in MEASURED_KINDS if k == part), None)
    keep = keeper(noun, given, _save) if noun else None
    save_and_show(
        ctx, name, keep=keep, view=inspect.view, write=write, as_json=as_json, stage="inspect"
    )


_LOOKS: Mapping[str, tuple[str, ...]] = {
    "ball": ("foot-ball", "piston-ball"), "seat": ("foot-seat", "piston-seat"), "rod": ("rod",),
    "cylinder": ("cylinder",), "seal-land": ("seal-land",),
    "packings": ("moving-packings", "static-packings"),
}  # fmt: skip
"""Parts of each kind of measurement that may look like something."""


def _show_looks(ctx: typer.Context, name: str, part: str, *, as_json: bool) -> None:
    """What parts of a kind may look like, each with the fields that would say so."""
    with opened(ctx) as desk:
        visit = desk.visit(visits.find(desk, name))
        used = {m.end: m.faces_used for m in visit.measured if isinstance(m, SeatMeasured)}
        parts = _LOOKS.get(part, ()) if part else tuple(p for of in _LOOKS.values() for p in of)
        found = {
            key: looks_of(visit.pump, visit.coating, key,
                          faces_used=used.get("piston" if key.startswith("piston") else "foot", 0))
            for key in parts
        }  # fmt: skip
        if as_json:
            write_json({key: [plain(look) for look in looks] for key, looks in found.items()})
            return
        sheet = Sheet(desk.system)
        for key, looks in found.items():
            sheet.heading(key)
            for look in looks:
                sheet.line(
                    Message("{title}: {verdict}", title=look.title, verdict=word(look.verdict))
                )
                sheet.said(Message("  {sure}", sure=look.sure))
                sheet.line(f"  {_as_given(look, desk.system)}")


def _as_given(look: Look, system: System) -> str:
    """The fields that would enter a look, as a command takes them."""
    said = []
    for known in fields_of(type(look.measured)):
        value = getattr(look.measured, known.name)
        if known.name not in look.fields and known.name not in ("end", "set"):
            continue
        many = value if isinstance(value, tuple) else (value,)
        if known.unit:
            spelling = known.unit.shown_in(system)
            figures = ", ".join(f"{to_unit(v, known.unit.kind, spelling):.5g}" for v in many)
            said.append(f'{known.name}="{figures} {spelling}"')
        else:
            said.append(f'{known.name}="{value}"')
    return " ".join(said)


def _save(desk: Desk, visit_id: str, measured: Noun) -> None:
    inspect.save(desk, visit_id, cast(Measured, measured))


def _fields(part: str) -> list[str]:
    noun = next(PAYLOADS[k] for k in MEASURED_KINDS if k == part)
    return list(noun.model_fields)[1:] or list(noun.model_fields)
