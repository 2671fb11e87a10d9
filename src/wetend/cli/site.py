"""``wetend site``: what a visit's site asks for, and whom to ring."""

from __future__ import annotations

import typer

from wetend.cli.output import Sheet
from wetend.cli.stage import AsJson, Given, VisitName, keep_and_show, keeper, stage_app
from wetend.pump.site import SiteFacts
from wetend.records.fold import Visit
from wetend.units.quantity import Kg, unit_of
from wetend.workflows import job

app = stage_app()


def write(sheet: Sheet, seen: Visit) -> None:
    """The site's facts as they stand; whom to ring is told before."""
    facts = seen.site or SiteFacts()
    if not facts.emergency_phone:
        sheet.line("No emergency number is kept for this site: emergency_phone=")
    sheet.line(f"Confined space: {facts.confined_space}. Permit: {facts.permit or 'none kept'}.")
    sheet.line(f"Old lead paint here: {facts.old_lead_paint}.")
    sheet.figure("one person may lift", facts.lifting_limit, unit_of(Kg))


@app.command()
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Keep the site's facts: emergency_phone= confined_space=yes|no permit= old_lead_paint=yes|no
    lifting_limit=
    """
    keep_and_show(
        ctx, name, keep=keeper(SiteFacts, given, job.save_site),
        view=lambda desk, visit: desk.visit(visit), write=write, as_json=as_json,
    )  # fmt: skip
