"""``wetend mixed``: the pot-life clock of a two-pack coating."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.cli.arguments import not_both, quantity
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, VisitName
from wetend.cli.output import Sheet
from wetend.cli.stage import save_and_show
from wetend.units.kinds import TIME
from wetend.units.message import Message
from wetend.workflows import job
from wetend.workflows.desk import Desk
from wetend.workflows.job import Job, job_of

app = command_app()


def write(sheet: Sheet, seen: Job) -> None:
    """What the clock says stands before, as a caution; here that none runs."""
    if seen.clock is None:
        sheet.line(
            Message("No pot-life clock is running: no mixed coating is recorded in the pump.")
        )
    elif seen.clock.batches > 1:
        sheet.line(
            Message(
                "{batches} batches since the last flush; the oldest counts.",
                batches=seen.clock.batches,
            )
        )


@app.command(cls=helped("wetend mixed last --now", "wetend mixed last --flushed"))
def command(
    ctx: typer.Context,
    name: VisitName,
    ago: Annotated[str, typer.Option(help="How long ago it was mixed, such as 10min.")] = "",
    now: Annotated[bool, typer.Option("--now", help="Mixed just now.")] = False,
    flushed: Annotated[bool, typer.Option("--flushed", help="Flushed: stop the clock.")] = False,
    as_json: AsJson = False,
) -> None:
    """Start the pot-life clock of a mixed coating, stop it, or show it."""
    not_both(ago=ago, now=now, flushed=flushed)
    since = quantity("--ago", ago, TIME, bare="min", least=-1e-9, most=30 * 86400.0) if ago else 0.0

    def keep(desk: Desk, visit_id: str) -> None:
        if flushed:
            job.flushed(desk, visit_id)
        if now or ago:
            job.mixed(desk, visit_id, ago=since)

    save_and_show(
        ctx, name, keep=keep if flushed or now or ago else None,
        view=lambda desk, visit: job_of(desk.visit(visit), "checks"), write=write,
        as_json=as_json, stage="checks",
    )  # fmt: skip
