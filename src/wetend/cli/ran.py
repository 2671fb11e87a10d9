"""``wetend ran``: the pump ran again, so zero no longer holds."""

from __future__ import annotations

import typer

from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.make_safe import write
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.stage import keeper, save_and_show
from wetend.pump.make_safe import PumpRan
from wetend.workflows import complaint, zero

app = command_app()


@app.command(
    cls=helped('wetend ran last why="proof run"', tables=[fields(PumpRan, without=("late",))])
)
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Report that the pump ran or may hold pressure: zero must be proven again."""
    keep = keeper(PumpRan, given or ["late=no"], zero.report_ran)
    save_and_show(ctx, name, keep=keep, view=complaint.view, write=write, as_json=as_json)
