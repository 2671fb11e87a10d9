"""``wetend complaint``: what the crew says."""

from __future__ import annotations

from collections.abc import Sequence

import typer

from wetend.advice.diagnosis.not_running import LookAt
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet, word
from wetend.cli.stage import keeper, save_and_show
from wetend.pump.readings import OLD_SIGHTS, Complaint
from wetend.units.message import Message, joined
from wetend.workflows import complaint
from wetend.workflows.complaint import ComplaintView

app = command_app()


def look_first(sheet: Sheet, causes: Sequence[LookAt]) -> None:
    """Where to look first, each cause's cautions before what is done about it."""
    sheet.heading(Message("Check these first, in this order (common practice, no source)"))
    for number, cause in enumerate(causes, start=1):
        sheet.line(
            Message(
                "{number}. {title}, {minutes:g} min",
                number=number,
                title=cause.title,
                minutes=cause.minutes,
            )
        )
        for caution in cause.cautions:
            sheet.caution(caution)
        sheet.said(Message("   Signs: {shows}", shows=cause.shows))
        sheet.said(Message("   What to do: {do}", do=cause.do))


def write(sheet: Sheet, seen: ComplaintView) -> None:
    """The complaint, first suspicions and whether the pump is safe."""
    if seen.visit.complaint:
        sheet.line(Message("Said: {said}", said=seen.visit.complaint.said))
        sheet.line(
            Message(
                "Seen: {seen}",
                seen=joined(", ", map(word, seen.visit.complaint.seen))
                or Message("nothing ticked"),
            )
        )
    if seen.look_first:
        look_first(sheet, seen.look_first)
        sheet.heading(Message("First suspicion"))
    for suspicion in seen.suspicions:
        sheet.line(Message("- {title}: {why}", title=suspicion.fault.title, why=suspicion.why))
    sheet.said(seen.gate.zero.line)


@app.command(
    cls=helped(
        'wetend complaint last said="drops on the way down" seen="down-stroke quick"',
        tables=[fields(Complaint, no_longer=OLD_SIGHTS)],
    )
)
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Enter what the crew says and what you see, and show the first suspicion."""
    save_and_show(
        ctx, name, keep=keeper(Complaint, given, complaint.save_complaint), view=complaint.view,
        write=write, as_json=as_json,
    )  # fmt: skip
