"""``wetend export``: everything as CSV tables."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import opened
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, may_be_written, write_json
from wetend.errors import BadInput
from wetend.records.files import atomic_file, path_given
from wetend.units.message import Message
from wetend.workflows.exporting import write_export

app = command_app()


@app.command(cls=helped("wetend export depot-tables.zip"))
def command(
    ctx: typer.Context,
    to: Annotated[Path, typer.Argument(metavar="ARCHIVE", help="Archive to write, .zip.")],
    replace: Annotated[bool, typer.Option("--replace", help="Overwrite an existing file.")] = False,
    as_json: AsJson = False,
) -> None:
    """Write every table of the depot as CSV in one archive."""
    may_be_written(to)
    if to.exists() and not replace:
        raise BadInput(
            Message("“{to}” exists already; choose another name, or add --replace.", to=to)
        )
    with opened(ctx) as desk:
        with atomic_file(path_given(to), replace=replace) as whole:
            count = write_export(desk, whole)
        if as_json:
            write_json({"file": str(to), "tables": count})
        else:
            Sheet(desk.system).line(Message("Wrote {count} tables to {to}.", count=count, to=to))
