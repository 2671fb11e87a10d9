"""``wetend export``: everything as CSV tables or as JSON."""

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
from wetend.workflows.depot_json import write_depot
from wetend.workflows.exporting import write_export

app = command_app()


@app.command(cls=helped("wetend export depot-tables.zip", "wetend export depot.json"))
def command(
    ctx: typer.Context,
    to: Annotated[
        Path, typer.Argument(metavar="ARCHIVE", help="File to write: .zip of CSV tables, or .json.")
    ],
    replace: Annotated[bool, typer.Option("--replace", help="Overwrite an existing file.")] = False,
    as_json: AsJson = False,
) -> None:
    """Write every table of the depot as CSV in one archive, or every entry as JSON.

    The name's ending chooses. `wetend import depot.json --keep` imports the JSON again.
    """
    may_be_written(to)
    if to.exists() and not replace:
        raise BadInput(
            Message("“{to}” exists already; choose another name, or add --replace.", to=to)
        )
    with opened(ctx) as desk:
        with atomic_file(path_given(to), replace=replace) as whole:
            json_wanted = to.suffix.lower() == ".json"
            count = (write_depot if json_wanted else write_export)(desk, whole)
        if as_json:
            write_json({"file": str(to), "entries" if json_wanted else "tables": count})
        elif json_wanted:
            Sheet(desk.system).line(Message("Wrote {count} entries to {to}.", count=count, to=to))
        else:
            Sheet(desk.system).line(Message("Wrote {count} tables to {to}.", count=count, to=to))
