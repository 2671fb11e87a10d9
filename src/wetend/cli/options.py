"""Arguments and options shared by many commands."""

from __future__ import annotations

from typing import Annotated

import typer

AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON; numbers are SI.")]
VisitName = Annotated[
    str, typer.Argument(metavar="VISIT", help="The visit's id, its last letters, or `last`.")
]
PumpKey = Annotated[str, typer.Argument(metavar="PUMP", help="The pump's key.")]
EntryName = Annotated[
    str, typer.Argument(metavar="ENTRY", help="The entry's id or its last letters.")
]
Given = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="FIELD=VALUE", help="What to save; without any, the stage is only shown."
    ),
]
Needed = Annotated[list[str], typer.Argument(metavar="FIELD=VALUE", help="What to save.")]
CostsGiven = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="COST=VALUE", help="Costs that differ from the usual ones, as listed below."
    ),
]
Corrects = Annotated[
    str, typer.Option(metavar="ENTRY", help="The entry this corrects: its id or last letters.")
]
Create = Annotated[bool, typer.Option("--create", help="Make the depot if there is none.")]
