"""``wetend make-safe``: the make-safe list."""

from __future__ import annotations

import typer

from wetend.cli.complaint import write
from wetend.cli.stage import AsJson, Given, VisitName, keep_and_show, keeper, stage_app
from wetend.pump.readings import MakeSafe
from wetend.workflows import complaint

app = stage_app()


@app.command()
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Keep the make-safe list: drive_off=yes locked_off=yes gun_opened=yes dump_opened=yes
    gauge_reading=0bar gun_dead=yes no_blockage=yes bonded=yes protected=yes.

    The maker's manual, site permits and local codes come first. Never feel for a leak.
    """
    keep_and_show(
        ctx, name, keep=keeper(MakeSafe, given, complaint.save_make_safe), view=complaint.view,
        write=write, as_json=as_json,
    )  # fmt: skip
