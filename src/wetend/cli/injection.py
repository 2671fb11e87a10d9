"""``wetend injection``: what to do about a jet through the skin."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.advice.safety.injection import LEAD, MAKE_SAFE, STEPS, TITLE
from wetend.cli.desk import opened
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_json
from wetend.errors import NotFound
from wetend.units.message import Message
from wetend.workflows import incidents, visits

app = command_app()


@app.command(cls=helped("wetend injection", "wetend injection last"))
def command(
    ctx: typer.Context,
    name: Annotated[
        str, typer.Argument(metavar="VISIT", help="A visit, to show what was injected.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Show what to do at once about an injection through the skin, whom to ring, what to say."""
    sheet = Sheet()
    if not as_json:
        sheet.heading(TITLE.upper())
        sheet.line(LEAD)
        for number, (act, means) in enumerate(STEPS, start=1):
            sheet.line(Message("{number}. {act} {means}", number=number, act=act, means=means))
        sheet.line(MAKE_SAFE)
    with opened(ctx) as desk:
        try:
            visit_id = visits.find(desk, name) if name else ""
        except NotFound as unknown:
            sheet.line(str(unknown))
            visit_id = ""
        seen = incidents.injection(desk, visit_id)
        if as_json:
            write_json({"title": TITLE, "lead": LEAD, "steps": STEPS, "others": MAKE_SAFE,
                        "phones": seen.phones, "say": seen.say})  # fmt: skip
            return
        for where, phone in seen.phones:
            sheet.line(Message("Ring {phone} ({where})", phone=phone, where=where))
        if seen.say is not None:
            sheet.line(
                Message(
                    "Say: {liquids}. {pressure}. When, to the minute.",
                    liquids=seen.say.liquids,
                    pressure=seen.say.pressure,
                )
            )
        sheet.line(Message("Then: wetend incident kind=... said=... ago=10min"))
