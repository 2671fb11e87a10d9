"""``wetend care``: the pump between jobs, step by step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import typer

from wetend.advice.handover.care import TITLES, CareList
from wetend.advice.safety.hazards import DEFERS
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, VisitName
from wetend.cli.output import Sheet
from wetend.cli.stage import save_and_show
from wetend.errors import BadInput
from wetend.units.message import Message
from wetend.units.suggestions import near_or_all
from wetend.workflows import handover
from wetend.workflows.desk import Desk

app = command_app()


@dataclass(frozen=True)
class CareView:
    """What to do between jobs: all occasions, or the one asked for."""

    lists: tuple[CareList, ...]


def write(sheet: Sheet, seen: CareView) -> None:
    """The lists, each step's cautions before it."""
    if not seen.lists:
        sheet.line(Message("Choose the coating first: wetend coating VISIT KEY"))
        return
    for care in seen.lists:
        sheet.heading(Message("{title} (common practice, no source)", title=care.title))
        for number, step in enumerate(care.steps, start=1):
            for caution in step.cautions:
                sheet.caution(caution)
            sheet.said(Message("{number}. {text}", number=number, text=step.text))
    sheet.line(DEFERS)


@app.command(cls=helped("wetend care last", "wetend care last --act shut-down"))
def command(
    ctx: typer.Context,
    name: VisitName,
    act: Annotated[str, typer.Option("--act", help=f"One of: {', '.join(TITLES)}; else all.")] = "",
    as_json: AsJson = False,
) -> None:
    """Show how to flush, shut down, store, restart or change the product.

    Steps for this pump and the coating in it, each with its cautions before it.
    """
    if act and act not in TITLES:
        known = near_or_all(act, TITLES, Message("there are"))
        raise BadInput(
            Message("--act: “{act}” is not an occasion; {known}", act=act[:40], known=known)
        )

    def seen(desk: Desk, visit_id: str) -> CareView:
        found = handover.care_of(desk.visit(visit_id))
        return CareView(tuple(care for care in found if act in ("", care.act)))

    save_and_show(ctx, name, keep=None, view=seen, write=write, as_json=as_json, stage="handover")
