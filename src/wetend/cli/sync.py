"""``wetend sync``: exchange with another depot."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import opened
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_json
from wetend.cli.progress_bar import metered
from wetend.units.message import Message
from wetend.units.show import first_of
from wetend.workflows import exchange

app = command_app()
_NAMED = 5


@app.command(
    cls=helped(
        "wetend sync /media/stick",
        "wetend sync https://depot.example:8443 --token TOKEN --authority depot.pem",
    )
)
def command(
    ctx: typer.Context,
    other: Annotated[
        str,
        typer.Argument(
            metavar="WITH",
            help="A folder such as a stick's, an SQLite file, a postgresql:// or https:// address.",
        ),
    ],
    token: Annotated[
        str,
        typer.Option(
            envvar="WETEND_TOKEN", help="For a server: the token it made for this device."
        ),
    ] = "",
    authority: Annotated[
        Path | None,
        typer.Option(help="For a server: a PEM file of certificates to trust as well."),
    ] = None,
    create: Annotated[
        bool, typer.Option("--create", help="Make the other depot if there is none.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Give each of two depots the entries and photos that it lacks of the other.

    Nothing is overwritten. Cut off, it goes on where it was when it is run again.
    """
    with opened(ctx) as desk, metered(Message("Exchanging")) as progress:
        done = exchange.with_other(
            desk, other, token=token, authority=authority, create=create, progress=progress
        )
    if as_json:
        write_json(done)
        raise typer.Exit(0 if done.whole else 1)
    sheet = Sheet(desk.system)
    sheet.line(
        Message(
            "New here: {entries} entries, {photos} photos. New there: {sent} entries, "
            "{photos_sent} photos.",
            entries=done.received,
            photos=done.photos_received,
            sent=done.sent,
            photos_sent=done.photos_sent,
        )
    )
    for lead, ids in (
        (Message("Damaged or gone where they came from; run `wetend doctor` there: "),
         done.not_to_be_had),
        (Message("Different on the two sides under one id, and left as they are: "),
         done.differing),
    ):  # fmt: skip
        if ids:
            sheet.line(lead + first_of(ids, _NAMED))
    if not done.whole:
        raise typer.Exit(1)
