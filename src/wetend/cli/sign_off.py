"""``wetend sign-off``: the hand-over signed."""

from __future__ import annotations

import typer

from wetend.cli.handover import write
from wetend.cli.stage import AsJson, Given, VisitName, keep_and_show, keeper, stage_app
from wetend.errors import BadInput
from wetend.pump.readings import SignOff
from wetend.workflows import handover

app = stage_app()


@app.command()
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Sign the visit off: technician= received_by= found= fitted= watch= come_back="""
    if not given:
        raise BadInput("Say who signs: technician=NAME")
    keep_and_show(
        ctx, name, keep=keeper(SignOff, given, handover.sign_off), view=handover.view, write=write,
        as_json=as_json,
    )  # fmt: skip
