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
from wetend.units.message import Message

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
    restored = restore_into(partial(open_depot, session, begins=True, create=create), source)
    if as_json:
        write_json(restored)
        return
    sheet = Sheet(session.units.value)
    sheet.line(
        Message(
            "Restored {source} into {session}: {new_entries} of {entries} entries and "
            "{new_photos} of {photos} photos were new.",
            source=source,
            session=depot_place(session),
            new_entries=restored.new_entries,
            entries=restored.entries,
            new_photos=restored.new_photos,
            photos=restored.photos,
        )
    )
    if restored.mended:
        sheet.line(
            Message("{mended} that were damaged there are repaired.", mended=restored.mended)
        )
    if restored.unread:
        sheet.line(
            Message(
                "{unread} of a later version are kept, but this version can't show them.",
                unread=restored.unread,
            )
        )
    if restored.missing:
        sheet.line(
            Message(
                "The backup itself lacked {missing} photos that entries refer to.",
                missing=len(restored.missing),
            )
        )
