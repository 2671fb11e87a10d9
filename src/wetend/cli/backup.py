"""``wetend backup``: a depot to one archive, checked."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import opened
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, may_be_written, write_json
from wetend.records.backup import back_up
from wetend.units.message import Message

app = command_app()


@app.command(cls=helped("wetend backup depot-2031-05-04.zip"))
def command(
    ctx: typer.Context,
    target: Annotated[
        Path, typer.Argument(metavar="ARCHIVE", help="The archive to write, such as depot.zip.")
    ],
    as_json: AsJson = False,
) -> None:
    """Write entries and photos to one archive, then read it back and check it."""
    may_be_written(target)
    with opened(ctx) as desk:
        made = back_up(desk.depot, target)
        if as_json:
            write_json(made)
            raise typer.Exit(0 if made.whole else 1)
        sheet = Sheet(desk.system)
        sheet.line(
            Message(
                "Wrote and checked {target}: {entries} entries, {photos} photos.",
                target=target,
                entries=made.entries,
                photos=made.photos,
            )
        )
        if made.missing:
            sheet.line(
                Message(
                    "{missing} photos that entries refer to are missing or damaged, and not in "
                    "the backup.",
                    missing=len(made.missing),
                )
            )
        if made.lost:
            sheet.line(
                Message("{lost} entries that were saved here can't be found.", lost=made.lost)
            )
        if not made.whole:
            sheet.line(
                Message(
                    "Keep earlier backups: this one is incomplete. `wetend doctor` lists what is "
                    "missing."
                )
            )
            raise typer.Exit(1)
