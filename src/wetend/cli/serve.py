"""``wetend serve``: a depot's pages on this machine."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.cli.desk import depot_place, open_depot
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import Create
from wetend.cli.server import serve
from wetend.cli.session import Session

app = command_app()


@app.command(cls=helped("wetend serve --open", "WETEND_PASSCODE=... wetend serve --host 0.0.0.0"))
def command(
    ctx: typer.Context,
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65500, help="Port to listen on.")] = 8642,
    passcode: Annotated[
        str, typer.Option(envvar="WETEND_PASSCODE", help="Needed to serve other machines.")
    ] = "",
    open_page: Annotated[bool, typer.Option("--open", help="Open the page in a browser.")] = False,
    create: Create = False,
) -> None:
    """Serve a depot's pages, to this machine only unless a passcode is set."""
    session: Session = ctx.obj or Session()
    open_depot(session, begins=True, create=create).close()
    serve(depot_place(session), host=host, port=port, passcode=passcode, show_page=open_page)
