"""``wetend rebuild``: the seal stack put back."""

from __future__ import annotations

import typer

from wetend.cli.output import Sheet
from wetend.cli.stage import AsJson, Given, VisitName, keep_and_show, keeper, stage_app
from wetend.pump.measurements import StackMeasured
from wetend.units.quantity import NM, M, N, Percent, unit_of
from wetend.workflows import rebuild
from wetend.workflows.rebuild import RebuildView

app = stage_app()


def write(sheet: Sheet, seen: RebuildView) -> None:
    """The stack, its shims, the elbow, the lift and the torque."""
    fit = seen.fit
    if fit is None:
        names = ", ".join(f"heights.{p.name}=" for p in seen.visit.pump.stack.parts)
        sheet.line(f"Give measured heights and the tin: {names} tin=2x0.5mm,0.25mm")
        return
    shims = " + ".join(sheet.show(s, unit_of(M)) for s in fit.shims) or "none"
    sheet.heading(f"Shims: {shims}, all on top of the cage")
    sheet.table(
        ["from the housing's floor", "free", "clamped"],
        [[x.title, sheet.show(x.free_height, unit_of(M)), sheet.show(x.height, unit_of(M))]
         for x in fit.layers],
    )  # fmt: skip
    sheet.line(
        f"Elbow {fit.clock}, between {fit.clock_low} and {fit.clock_high} nine times in ten: "
        f"{sheet.verdict(fit.elbow_verdict)} "
        f"({sheet.show(fit.on_target, unit_of(Percent))} on target)"
    )
    sheet.line(f"Ball lift {sheet.show(fit.lift, unit_of(M))}: {sheet.verdict(fit.lift_verdict)}")
    for squeeze in fit.squeezes:
        told = sheet.show(squeeze.squeeze, unit_of(Percent))
        sheet.line(f"Squeeze of {squeeze.name}: {told}, {sheet.verdict(squeeze.verdict)}")
    lever = ""
    if fit.lever is not None and fit.lever_force is not None:
        pull, arm = sheet.show(fit.lever_force, unit_of(N)), sheet.show(fit.lever, unit_of(M))
        lever = f" = {pull} on the {arm} lever"
    sheet.line(f"Torque {sheet.show(fit.torque, unit_of(NM))}{lever}. {fit.gland}")
    for wrong in fit.variants:
        sheet.line(f"If {wrong.title}: elbow {wrong.clock}, lift "
                   f"{sheet.show(wrong.lift, unit_of(M))}. {wrong.why}")  # fmt: skip
    for caution in fit.cautions:
        sheet.caution(caution)


@app.command()
def command(
    ctx: typer.Context, name: VisitName, given: Given = None, as_json: AsJson = False
) -> None:
    """Give heights.NAME= depth= tin= lever= target=; get shims, elbow, lift and torque."""
    keep_and_show(
        ctx, name, keep=keeper(StackMeasured, given, rebuild.save), view=rebuild.view, write=write,
        as_json=as_json,
    )  # fmt: skip
