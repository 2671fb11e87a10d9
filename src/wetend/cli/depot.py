"""``wetend depot``: make a depot, or say where it is."""

from __future__ import annotations

import typer

from wetend.cli.desk import depot_place, is_depot
from wetend.cli.output import Sheet, write_json
from wetend.cli.session import Session
from wetend.cli.stage import AsJson
from wetend.errors import BadInput
from wetend.records.engine import locate, named
from wetend.records.store import Depot

app = typer.Typer(
    add_completion=False, rich_markup_mode=None, no_args_is_help=True,
    help="Make a depot, or say where it is.",
)  # fmt: skip


@app.command()
def create(ctx: typer.Context, as_json: AsJson = False) -> None:
    """Make an empty depot where --depot or WETEND_DEPOT says, else in your data folder."""
    place = depot_place(ctx.obj or Session())
    if is_depot(place):
        raise BadInput(f"There is a depot at {named(locate(place))} already; it was left as it is.")
    with Depot.open(place) as depot:
        made = named(depot.url)
    if as_json:
        write_json({"depot": made})
    else:
        typer.echo(f"Made a depot: {made}")  # a path is not wrapped


@app.command()
def where(ctx: typer.Context, as_json: AsJson = False) -> None:
    """Say where the depot is that commands work on, and whether there is one."""
    place = depot_place(ctx.obj or Session())
    there, shown = is_depot(place), named(locate(place))
    if as_json:
        write_json({"depot": shown, "there": there})
    else:
        Sheet().line(f"{shown}{'' if there else ' (none there yet)'}")
