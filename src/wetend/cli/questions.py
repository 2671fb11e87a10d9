"""``wetend questions``: where parts wear out most, which rebuilds came back, lives as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from wetend.advice.life.questions import RateRow
from wetend.cli.desk import opened
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import (
    Sheet,
    may_be_written,
    one_output,
    word,
    write_data,
    write_file,
    write_json,
)
from wetend.units.message import Message
from wetend.units.show import chance_text, rounded
from wetend.workflows import questions as workflow

app = command_app()
_GALLON = 3.785411784


def _rates(sheet: Sheet, title: str, rows: Sequence[RateRow]) -> None:
    sheet.heading(title)
    if not rows:
        sheet.line(Message("Nothing recorded yet."))
        return
    metric = sheet.system != "imperial"
    factor = 1.0 if metric else _GALLON
    head = Message("a 1,000 L") if metric else Message("a 1,000 gal")
    sheet.table(
        ["", Message("failures"), head, Message("95 % interval"), Message("against the others")],
        [[r.name, str(r.failures), rounded(factor * r.rate),
          Message("{low} to {high}", low=rounded(factor * r.low), high=rounded(factor * r.high)),
          word(r.stands)] for r in rows],
    )  # fmt: skip


@app.command(cls=helped("wetend questions", "wetend questions --lives lives.csv"))
def command(
    ctx: typer.Context,
    lives: Annotated[
        str, typer.Option(help="Write every recorded life here as CSV; - for here.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Show which sites, coatings and pumps eat packings, and which rebuilds came back.

    With exact intervals: a group stands out only where chance does not explain it.
    """
    one_output(lives=lives == "-", json=as_json)
    may_be_written(lives)
    with opened(ctx) as desk:
        if lives:
            text = workflow.lives_csv(desk)
            if lives == "-":
                write_data(text)
                return
            write_file(lives, text.encode())
        seen = workflow.view(desk)
        if as_json:
            write_json(seen)
            return
        sheet = Sheet(desk.system)
        _rates(sheet, Message("Packings by site"), seen.sites)
        _rates(sheet, Message("Packings by class of coating"), seen.coatings)
        _rates(sheet, Message("Packings by pump"), seen.pumps)
        sheet.heading(Message("Rebuilds that came back within 30 days"))
        sheet.table(
            [Message("signed by"), Message("rebuilds"), Message("back"), Message("95 % interval"),
             Message("against the others")],
            [[r.who, str(r.rebuilds), str(r.back),
              Message("{low} to {high}", low=chance_text(r.low), high=chance_text(r.high)),
              word(r.stands)] for r in seen.back],
        )  # fmt: skip
        sheet.heading(Message("Failures by part"))
        sheet.table([Message("part"), Message("failures")], [[p, str(n)] for p, n in seen.parts])
        sheet.heading(Message("Failures by month"))
        sheet.table([Message("month"), Message("failures")], [[m, str(n)] for m, n in seen.months])
        if lives:
            sheet.line(Message("Wrote {to}", to=lives))
