"""``wetend depot``: make a depot, say where it is, remove the location from its photos."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.cli.desk import depot_place, is_depot, opened
from wetend.cli.help_format import group_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_json
from wetend.cli.session import Session
from wetend.errors import BadInput
from wetend.records.engine import locate, named
from wetend.records.store import Depot
from wetend.units.message import Message, plural
from wetend.workflows import photo_locations
from wetend.workflows.photo_locations import LocationsView

app = group_app(Message("Make a depot, show where it is, check its photos for locations."))


@app.command(cls=helped("wetend --depot van.sqlite3 depot create"))
def create(ctx: typer.Context, as_json: AsJson = False) -> None:
    """Make an empty depot: at --depot, or in your data folder."""
    place = depot_place(ctx.obj or Session())
    if is_depot(place):
        raise BadInput(
            Message(
                "There is already a depot at {named}; it was not changed.",
                named=named(locate(place)),
            )
        )
    with Depot.open(place) as depot:
        made = named(depot.url)
    if as_json:
        write_json({"depot": made})
    else:
        typer.echo(Message("Made a depot: {made}", made=made))  # a path is not wrapped


@app.command(cls=helped("wetend depot where"))
def where(ctx: typer.Context, as_json: AsJson = False) -> None:
    """Show where the depot is, and whether it exists."""
    place = depot_place(ctx.obj or Session())
    there, shown = is_depot(place), named(locate(place))
    if as_json:
        write_json({"depot": shown, "there": there})
    else:
        Sheet().line(shown if there else Message("{depot} (none there yet)", depot=shown))


@app.command(cls=helped("wetend depot photos", "wetend depot photos --remove-location"))
def photos(
    ctx: typer.Context,
    remove_location: Annotated[
        bool,
        typer.Option("--remove-location", help="Remove it; the pictures stay byte for byte."),
    ] = False,
    asked_for_too: Annotated[
        bool, typer.Option("--asked-for-too", help="Also from photos saved with it on purpose.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Count the photos that still hold their location, and remove it.

    Photos saved since it is removed at once hold none, unless that was asked for.
    """
    with opened(ctx) as desk:
        if remove_location:
            found = photo_locations.remove(desk, asked_for_too=asked_for_too)
        elif asked_for_too:
            raise BadInput(Message("--asked-for-too goes with --remove-location."))
        else:
            found = photo_locations.view(desk)
        if as_json:
            write_json(found)
        else:
            _write_locations(Sheet(desk.system), found, done=remove_location)


def _write_locations(sheet: Sheet, found: LocationsView, *, done: bool) -> None:
    if done:
        sheet.line(
            Message(
                "Location removed from {removed}; the pictures are unchanged.",
                removed=_count(found.removed),
            )
        )
    left = found.with_location - found.asked_for
    sheet.line(
        Message(
            "{photos}; {left} may still say where they were taken.",
            photos=_count(found.photos),
            left=left,
        )
    )
    if found.asked_for:
        sheet.line(Message("Saved so on purpose: {asked_for} more.", asked_for=found.asked_for))
    if found.withdrawn:
        sheet.line(
            Message(
                "Withdrawn, and left as they are: {withdrawn} more; restore one to include it.",
                withdrawn=found.withdrawn,
            )
        )
    if left and not done:
        sheet.line(Message("`wetend depot photos --remove-location` removes it."))
    if done and found.removed:
        sheet.line(Message("Backups made before still hold the earlier files."))


def _count(number: int) -> str:
    return plural("{n} photo", "{n} photos", number)
