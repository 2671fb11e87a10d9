"""``wetend serve``: a depot's pages on this machine, or on the local network."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import data_folder, depot_place, open_depot
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import Create
from wetend.cli.server import serve, serve_lan
from wetend.cli.session import Session
from wetend.errors import BadInput
from wetend.units.message import Message

app = command_app()


@app.command(cls=helped("wetend serve --open", "WETEND_PASSCODE=... wetend serve --lan"))
def command(
    ctx: typer.Context,
    host: Annotated[str, typer.Option(help="Address to listen on.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=1, max=65500, help="Port to listen on.")] = 8642,
    passcode: Annotated[
        str, typer.Option(envvar="WETEND_PASSCODE", help="Needed to serve other machines.")
    ] = "",
    lan: Annotated[
        bool,
        typer.Option("--lan", help="Serve the local network over HTTPS, by an own certificate."),
    ] = False,
    tls_cert: Annotated[
        Path | None, typer.Option("--tls-cert", help="Certificate to serve by, a PEM file.")
    ] = None,
    tls_key: Annotated[Path | None, typer.Option("--tls-key", help="Its key, a PEM file.")] = None,
    open_page: Annotated[bool, typer.Option("--open", help="Open the page in a browser.")] = False,
    create: Create = False,
) -> None:
    """Serve a depot's pages, to this machine only unless a passcode is set."""
    session: Session = ctx.obj or Session()
    if (tls_cert is None) != (tls_key is None):
        raise BadInput(Message("--tls-cert and --tls-key go together."))
    if lan and tls_cert is not None:
        raise BadInput(
            Message("--lan makes its own certificate; leave --tls-cert and --tls-key out.")
        )
    open_depot(session, begins=True, create=create).close()
    if lan:
        serve_lan(depot_place(session), port=port, passcode=passcode, folder=data_folder() / "lan")
        return
    files = (tls_cert, tls_key) if tls_cert and tls_key else None
    serve(
        depot_place(session), host=host, port=port, passcode=passcode, show_page=open_page,
        files=files,
    )  # fmt: skip
