"""``wetend imports``: what was imported; each import withdrawn or restored as a whole."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.cli.desk import opened
from wetend.cli.help_format import group_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_json
from wetend.units.message import Message
from wetend.workflows import imports
from wetend.workflows.imports import ImportLine

app = group_app(Message("List imports; withdraw one with all its rows, or restore it."))
Name = Annotated[
    str, typer.Argument(metavar="IMPORT", help="The import's id, its last letters, or `last`.")
]


def _row(line: ImportLine) -> list[str]:
    said = line.said
    return [line.entry.id[-6:], f"{line.entry.at:%Y-%m-%d %H:%M}", line.entry.who, said.file,
            str(said.uses), str(said.fitted), "withdrawn" if line.withdrawn else ""]  # fmt: skip


@app.command("list", cls=helped("wetend imports list"))
def list_all(ctx: typer.Context, as_json: AsJson = False) -> None:
    """Every import, the latest first."""
    with opened(ctx) as desk:
        lines = imports.listed(desk)
        if as_json:
            write_json(lines)
            return
        head = ["import", Message("when (UTC)"), "who", "file", "uses", Message("parts fitted"), ""]
        Sheet(desk.system).table(head, [_row(line) for line in lines])


@app.command(cls=helped('wetend imports withdraw last --reason "of another depot"'))
def withdraw(
    ctx: typer.Context, name: Name, reason: Annotated[str, typer.Option(help="Why.")] = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Withdraw an import with all its rows; they stay in the record."""
    with opened(ctx) as desk:
        count = imports.withdraw(desk, imports.find(desk, name).entry.id, reason)
        if as_json:
            write_json({"withdrawn": count})
            return
        Sheet(desk.system).line(
            Message("Withdrawn: {count} rows. To restore: wetend imports put-back", count=count)
        )


@app.command("put-back", cls=helped("wetend imports put-back last"))
def put_back(ctx: typer.Context, name: Name, as_json: AsJson = False) -> None:
    """Restore a withdrawn import with all its rows."""
    with opened(ctx) as desk:
        count = imports.put_back(desk, imports.find(desk, name).entry.id)
        if as_json:
            write_json({"put_back": count})
            return
        Sheet(desk.system).line(Message("Restored: {count} rows.", count=count))
