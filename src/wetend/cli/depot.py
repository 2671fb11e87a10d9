"""``wetend depot``: make a depot, or say where it is."""

from __future__ import annotations

import typer

from wetend.cli.desk import depot_place, is_depot
from wetend.cli.helping import group_app, helped
from wetend.cli.output import Sheet, write_json
from wetend.cli.session import Session
from wetend.cli.words import AsJson
from wetend.errors import BadInput
from wetend.records.engine import locate, named
from wetend.records.store import Depot

app = group_app("Make a depot, or show where it is.")


@app.command(cls=helped("wetend --depot van.sqlite3 depot create"))
def create(ctx: typer.Context, as_json: AsJson = False) -> None:
    """Make an empty depot: at --depot, or in your data folder."""
    place = depot_place(ctx.obj or Session())
    if is_depot(place):
        raise BadInput(f"There is already a depot at {named(locate(place))}; it was not changed.")
    with Depot.open(place) as depot:
        made = named(depot.url)
    if as_json:
        write_json({"depot": made})
    else:
        typer.echo(f"Made a depot: {made}")  # a path is not wrapped


@app.command(cls=helped("wetend depot where"))
def where(ctx: typer.Context, as_json: AsJson = False) -> None:
    """Show where the depot is, and whether it exists."""
    place = depot_place(ctx.obj or Session())
    there, shown = is_depot(place), named(locate(place))
    if as_json:
        write_json({"depot": shown, "there": there})
    else:
        Sheet().line(f"{shown}{'' if there else ' (none there yet)'}")
