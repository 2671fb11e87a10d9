"""``wetend site``: what a visit's site asks for, and whom to ring."""

from __future__ import annotations

import typer

from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet
from wetend.cli.stage import keeper, save_and_show
from wetend.pump.site import SiteFacts
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.units.quantity import Kg, unit_of
from wetend.workflows import job

app = command_app()


def write(sheet: Sheet, seen: Visit) -> None:
    """The site's facts as they stand; whom to ring stands before."""
    facts = seen.site or SiteFacts()
    if not facts.emergency_phone:
        sheet.line(Message("No emergency number is recorded for this site: emergency_phone="))
    sheet.line(
        Message(
            "Confined space: {confined_space}. Permit: {permit}.",
            confined_space=facts.confined_space,
            permit=facts.permit or Message("none recorded"),
        )
    )
    sheet.line(
        Message("Old lead paint here: {old_lead_paint}.", old_lead_paint=facts.old_lead_paint)
    )
    sheet.figure(Message("one person may lift"), facts.lifting_limit, unit_of(Kg))


@app.command(
    cls=helped('wetend site last emergency_phone="01632 960 112" confined_space=no',
               tables=[fields(SiteFacts)])
)  # fmt: skip
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Enter the site's rules and emergency number; without fields, show them."""
    save_and_show(
        ctx, name, keep=keeper(SiteFacts, given, job.save_site),
        view=lambda desk, visit: desk.visit(visit), write=write, as_json=as_json,
    )  # fmt: skip
