"""``wetend ran``: the pump ran again, so zero is over."""

from __future__ import annotations

import typer

from wetend.cli.make_safe import write
from wetend.cli.stage import AsJson, Given, VisitName, keep_and_show, keeper, stage_app
from wetend.pump.make_safe import PumpRan
from wetend.workflows import complaint, zero

app = stage_app()


@app.command()
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Say that the pump ran, or may hold pressure, again: zero is over, whoever proved it.

    why="crew flushed it" says what brought the pressure back.
    """
    keep = keeper(PumpRan, given or ["why="], zero.say_ran)
    keep_and_show(ctx, name, keep=keep, view=complaint.view, write=write, as_json=as_json)
