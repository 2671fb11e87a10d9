"""``wetend demo``: the demo depot built, served and shown."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import data_folder
from wetend.cli.help_format import command_app, helped
from wetend.cli.server import serve
from wetend.records.store import DEMO, Depot
from wetend.units.message import Message
from wetend.workflows.demo.depot import ready_demo

app = command_app()


@app.command(cls=helped("wetend demo", "wetend demo --at demo.sqlite3 --build-only"))
def command(
    at: Annotated[
        Path | None, typer.Option(help="File of the demo depot; default in your data folder.")
    ] = None,
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65500, help="Port to listen on.")] = 8642,
    passcode: Annotated[
        str, typer.Option(envvar="WETEND_PASSCODE", help="Needed to serve other machines.")
    ] = "",
    again: Annotated[
        bool, typer.Option("--again", help="Empty a demo depot and build it again.")
    ] = False,
    build_only: Annotated[
        bool, typer.Option("--build-only", help="Build it and stop; do not serve.")
    ] = False,
    no_page: Annotated[bool, typer.Option("--no-page", help="Do not open a browser.")] = False,
) -> None:
    """Build the invented demo depot, serve it and open the page.

    Six pumps of two builds and two years of visits. A depot that is no demo depot is never touched.
    """
    place = at or data_folder() / "demo.sqlite3"
    with Depot.open(place, purpose=DEMO) as depot:
        kept = ready_demo(depot, again=again)
    if kept:
        typer.echo(
            Message("Built the demo depot: {kept} entries in {place}", kept=kept, place=place)
        )
    if not build_only:
        serve(str(place), host=host, port=port, passcode=passcode, show_page=not no_page)
