"""``wetend restore``: an archive into a depot, merged by union."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import depot_place, open_depot
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Create
from wetend.cli.output import Sheet, write_json
from wetend.cli.session import Session
from wetend.records.backup import restore_into

app = command_app()


@app.command(cls=helped("wetend --depot other.sqlite3 restore depot.zip --create"))
def command(
    ctx: typer.Context,
    source: Annotated[Path, typer.Argument(metavar="ARCHIVE", help="The archive to read.")],
    create: Create = False,
    as_json: AsJson = False,
) -> None:
    """Read an archive into the depot: all or nothing; existing entries stay."""
    session: Session = ctx.obj or Session()
    told = restore_into(partial(open_depot, session, begins=True, create=create), source)
    if as_json:
        write_json(told)
        return
    sheet = Sheet(session.units.value)
    sheet.line(
        f"Restored {source} into {depot_place(session)}: {told.new_entries} of {told.entries} "
        f"entries and {told.new_photos} of {told.photos} photos were new."
    )
    if told.mended:
        sheet.line(f"{told.mended} that were damaged there are repaired.")
    if told.unread:
        sheet.line(f"{told.unread} of a later version are kept, but this version can't show them.")
    if told.missing:
        sheet.line(f"The backup itself lacked {len(told.missing)} photos that entries refer to.")
