"""``wetend export``: everything as CSV tables."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import opened
from wetend.cli.output import Sheet
from wetend.errors import BadInput
from wetend.workflows.exporting import write_export

app = typer.Typer(add_completion=False, rich_markup_mode=None)


@app.command()
def command(
    ctx: typer.Context,
    to: Annotated[Path, typer.Argument(help="Archive to write, .zip.")],
    replace: Annotated[bool, typer.Option("--replace", help="Write over a file there.")] = False,
) -> None:
    """Write every table of the depot as CSV in one archive, for spreadsheets and other programs."""
    if to.exists() and not replace:
        raise BadInput(f"“{to}” is there already; choose another name, or give --replace.")
    with opened(ctx) as desk:
        whole = io.BytesIO()
        count = write_export(desk, whole)
        to.write_bytes(whole.getvalue())
        Sheet(desk.system).line(f"Wrote {count} tables to {to}.")
