"""``wetend coating``: which coating is in the pump."""

from __future__ import annotations

import typer

from wetend.cli.checks import write
from wetend.cli.desk import noun_from, opened, system_of
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet, write_json
from wetend.cli.stage import write_job
from wetend.pump.coating import Coating
from wetend.units.message import Message
from wetend.units.quantity import KgPerM3, unit_of
from wetend.workflows import checks, visits
from wetend.workflows.job import job_of

app = command_app()


@app.command(
    cls=helped(
        "wetend coating last", "wetend coating last alkyd-topcoat",
        'wetend coating last key=own-topcoat name="Own topcoat" density="1.3 kg/L" '
        'viscosity="400 mPa*s"',
        tables=[fields(Coating)],
    )
)  # fmt: skip
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Set the coating in the pump, by its key or by its fields.

    Without one, the coatings known here are listed.
    """
    with opened(ctx) as desk:
        sheet = Sheet(desk.system)
        if not given:
            known = desk.coatings()
            if as_json:
                write_json(known)
                return
            sheet.table(
                [Message("key"), Message("name"), Message("density"), Message("wear")],
                [[c.key, c.name, sheet.show(c.density, unit_of(KgPerM3)), c.abrasiveness]
                 for c in known],
            )  # fmt: skip
            return
        by_key = len(given) == 1 and "=" not in given[0]
        coating = desk.coating(given[0]) if by_key else noun_from(Coating, given, system_of(ctx))
        visit_id = visits.find(desk, name)
        visits.choose_coating(desk, visit_id, coating)
        if as_json:
            write_json(coating)
        else:
            write_job(sheet, job_of(desk.visit(visit_id), "checks"))
            write(sheet, checks.view(desk, visit_id))
