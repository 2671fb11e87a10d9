"""``wetend sign-off``: the hand-over signed."""

from __future__ import annotations

import typer

from wetend.cli.given import pairs
from wetend.cli.handover import write
from wetend.cli.stage import AsJson, Given, VisitName, keep_and_show, stage_app
from wetend.errors import BadInput
from wetend.pump.readings import SignOff
from wetend.units.fields import read
from wetend.workflows import handover
from wetend.workflows.desk import Desk

app = stage_app()


@app.command()
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Sign the visit off: technician= received_by= found= fitted= watch= come_back=

    What is not given is as the hand-over proposes it.
    A pump that failed its proof or is not proven also needs reason= crew_told=yes tagged=yes
    """
    if not given:
        raise BadInput("Say who signs: technician=NAME")
    typed = pairs(given)

    def keep(desk: Desk, visit_id: str) -> None:
        ready = handover.proposed(desk, handover.view(desk, visit_id))
        handover.sign_off(desk, visit_id, read(SignOff, {**ready, **typed}))

    keep_and_show(ctx, name, keep=keep, view=handover.view, write=write, as_json=as_json)
