"""``wetend demo``: the demo depot built, served and shown."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import platformdirs
import typer

from wetend.cli.serving import serve
from wetend.cli.stage import stage_app
from wetend.records.store import Depot
from wetend.workflows.demo import build_demo

app = stage_app()


def _fresh(place: Path) -> None:
    for old in (place, *place.parent.glob(f"{place.name}-*")):
        old.unlink(missing_ok=True)


@app.command()
def command(
    at: Annotated[
        Path | None, typer.Option(help="File of the demo depot; else in this person's data folder.")
    ] = None,
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65500, help="Port to listen on.")] = 8642,
    passcode: Annotated[str, typer.Option(envvar="WETEND_PASSCODE")] = "",
    again: Annotated[bool, typer.Option("--again", help="Build the demo depot anew.")] = False,
    build_only: Annotated[
        bool, typer.Option("--build-only", help="Build it and stop; do not serve.")
    ] = False,
    no_page: Annotated[bool, typer.Option("--no-page", help="Do not open a browser.")] = False,
) -> None:
    """Build the invented demo depot (six pumps, two years of visits), serve it, open the page."""
    place = at or Path(platformdirs.user_data_dir("wetend", appauthor=False)) / "demo.sqlite3"
    place.parent.mkdir(parents=True, exist_ok=True)
    if again:
        _fresh(place)
    with Depot.open(place) as depot:
        if not depot.entries(kinds=("pump-described",)):
            kept = build_demo(depot)
            typer.echo(f"Built the demo depot: {kept} entries in {place}")
    if not build_only:
        serve(str(place), host=host, port=port, passcode=passcode, show_page=not no_page)
