"""``wetend restore``: an archive into a depot, merged by union."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import depot_place
from wetend.cli.output import Sheet, write_json
from wetend.cli.session import Session
from wetend.cli.stage import AsJson, stage_app
from wetend.records.backup import restore

app = stage_app()


@app.command()
def command(
    ctx: typer.Context,
    source: Annotated[Path, typer.Argument(help="The archive to read.")],
    as_json: AsJson = False,
) -> None:
    """Read an archive into the depot; what is there already stays, nothing is half restored."""
    told = restore(source, depot_place(ctx.obj or Session()))
    if as_json:
        write_json(told)
    else:
        Sheet().line(f"Restored from {source}: {told}")
