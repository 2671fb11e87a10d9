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
from wetend.records.device_tokens import devices, make_token, withdraw
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


_DeviceName = Annotated[str, typer.Argument(metavar="DEVICE", help="Such as van-2.")]


@app.command(cls=helped("wetend depot token van-2"))
def token(ctx: typer.Context, name: _DeviceName, as_json: AsJson = False) -> None:
    """Make a token by which a device's depot may exchange with this one's server.

    It is shown once. Whoever has it can read and add to the whole record.
    """
    with opened(ctx) as desk:
        made = make_token(desk.depot, name)
    if as_json:
        write_json({"device": name, "token": made})
    else:
        Sheet().line(Message("Give it to that device alone; it is not shown again:"))
        typer.echo(made)


@app.command("devices", cls=helped("wetend depot devices"))
def list_devices(ctx: typer.Context, as_json: AsJson = False) -> None:
    """List the devices that hold a token."""
    with opened(ctx) as desk:
        found = devices(desk.depot)
    if as_json:
        write_json(found)
        return
    for device in found:
        Sheet().line(Message("{name}, since {made:%Y-%m-%d}", name=device.name, made=device.made))
    if not found:
        Sheet().line(Message("No device holds a token."))


@app.command("withdraw", cls=helped("wetend depot withdraw van-2"))
def withdraw_token(ctx: typer.Context, name: _DeviceName, as_json: AsJson = False) -> None:
    """Withdraw a device's token: it opens nothing from now on; what it sent stays."""
    with opened(ctx) as desk:
        withdraw(desk.depot, name)
    if as_json:
        write_json({"withdrawn": name})
    else:
        Sheet().line(Message("The token of {name} is withdrawn.", name=name))
