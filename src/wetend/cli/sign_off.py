"""``wetend sign-off``: the hand-over signed."""

from __future__ import annotations

import typer

from wetend.cli.arguments import pairs
from wetend.cli.field_rows import fields
from wetend.cli.handover import write
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.stage import save_and_show
from wetend.errors import BadInput
from wetend.pump.readings import SignOff
from wetend.units.fields import read
from wetend.units.message import Message
from wetend.workflows import handover
from wetend.workflows.desk import Desk

app = command_app()
FILLED_IN = ("proof", "proof_why", "entries_seen")
"""What the program puts to a signature itself."""


@app.command(
    cls=helped(
        'wetend sign-off last technician="your name" received_by="crew lead"',
        'wetend sign-off last technician="your name" reason="stall and bucket to follow" '
        "crew_told=yes tagged=yes",
        tables=[fields(SignOff, without=FILLED_IN)],
    )
)
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Sign the visit off.

    What is not given is as the hand-over proposes it. A pump that failed its proof or is not proven
    also needs reason, crew_told=yes and tagged=yes.
    """
    if not given:
        raise BadInput(Message("Name who signs: technician=NAME"))
    typed = pairs(given)
    own = next((name for name in typed if name in FILLED_IN), None)
    if own is not None:
        raise BadInput(Message("“{own}” is set by the program; leave it out.", own=own))

    def keep(desk: Desk, visit_id: str) -> None:
        ready = handover.proposed(desk, handover.view(desk, visit_id))
        handover.sign_off(desk, visit_id, read(SignOff, {**ready, **typed}))

    save_and_show(ctx, name, keep=keep, view=handover.view, write=write, as_json=as_json)
