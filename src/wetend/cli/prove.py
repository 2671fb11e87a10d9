"""``wetend prove``: proof readings against this pump's limits."""

from __future__ import annotations

import typer

from wetend.cli.output import Sheet
from wetend.cli.stage import AsJson, Given, VisitName, keep_and_show, keeper, stage_app
from wetend.pump.measurements import ProofReadings
from wetend.units.retell import retell
from wetend.workflows import prove
from wetend.workflows.prove import ProveView

app = stage_app()


def write(sheet: Sheet, seen: ProveView) -> None:
    """Each proof test with its limit and verdict."""
    if seen.proof is None:
        sheet.line(
            seen.no_answer or "Say first which coating is in the pump: wetend coating VISIT KEY"
        )
        return
    sheet.heading(f"{sheet.verdict(seen.proof.verdict)}: {retell(seen.proof.why, sheet.system)}")
    for test in seen.proof.tests:
        if test.caution:
            sheet.caution(test.caution)
        read = "no reading" if test.value is None else sheet.show(test.value, test.unit)
        read = test.seen or read
        limit = "" if test.seen else f", {test.limit_is} {sheet.show(test.limit, test.unit)}"
        sheet.said(f"{sheet.verdict(test.verdict)}  {test.title}: {read}{limit}. {test.why}")
    if seen.proof.on_fail:
        sheet.said(seen.proof.on_fail)


@app.command()
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Give proof readings: solvent_lost= stall_creep_up= hold_start= bucket_volume= …"""
    keep_and_show(
        ctx, name, keep=keeper(ProofReadings, given, prove.save), view=prove.view, write=write,
        as_json=as_json, stage="prove",
    )  # fmt: skip
