"""``wetend today``: open visits with what is next, and pumps that want something."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.cli.desk import opened
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_json
from wetend.units.message import Message, joined, raised
from wetend.units.show import stood_text
from wetend.workflows import pumps, today

app = command_app()


def _write(sheet: Sheet, seen: today.TodayView) -> None:
    sheet.table(
        [Message("visit"), Message("pump"), Message("next"), Message("stood"),
         Message("complaint")],
        [[o.visit.id[-6:], o.pump, Message(o.stage), stood_text(o.stood), o.visit.complaint[:60]]
         for o in seen.open_visits],
    )  # fmt: skip
    if seen.more_open:
        sheet.line(Message("And {n} more: `wetend visit list`.", n=len(seen.more_open)))
    for want in seen.wants:
        sheet.line(want.name if not want.site else joined(", ", (want.name, want.site)))
        for reason in want.reasons:
            word = raised(reason.word)
            sheet.line(Message("  {word}: {text}", word=word, text=reason.text))
    if seen.more_wants:
        sheet.line(Message("And {n} more: `wetend fleet month`.", n=seen.more_wants))
    if not seen.planned:
        sheet.line(Message("Without the fleet plan, which takes longer: `wetend fleet month`."))


@app.command(cls=helped("wetend today", "wetend today --find berth"))
def command(
    ctx: typer.Context,
    find: Annotated[
        str, typer.Option(help="List the pumps with these words in name, site or build instead.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Show open visits with what is next, and pumps that want something."""
    with opened(ctx) as desk:
        if find:
            found = [line.pump for line in pumps.find_pumps(pumps.list_pumps(desk), find)]
            if as_json:
                write_json([{"key": p.key, "name": p.name, "site": p.site} for p in found])
                return
            Sheet(desk.system).table(
                ["key", Message("pump"), Message("site")], [[p.key, p.name, p.site] for p in found]
            )
            return
        seen = today.view(desk)
        if as_json:
            write_json(seen)
        else:
            _write(Sheet(desk.system), seen)
