"""``wetend rebuild``: the seal stack put back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from wetend.advice.reasons import Caution
from wetend.advice.rebuild.plan import RebuildStep
from wetend.advice.rebuild.what_if import ShimsTried
from wetend.advice.safety.hazards import said_once
from wetend.cli.desk import system_of
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet
from wetend.cli.stage import keeper, naming_the_list, save_and_show
from wetend.cli.strip import write_tray
from wetend.drawings.acts.tray import places
from wetend.pump.measurements import StackMeasured
from wetend.units.fields import read
from wetend.units.message import Message, joined
from wetend.units.quantity import NM, M, N, Percent, SAsMinutes, unit_of
from wetend.units.show import chance_text
from wetend.workflows import rebuild
from wetend.workflows.desk import Desk
from wetend.workflows.rebuild import RebuildView, TriedView

app = command_app()


def write(sheet: Sheet, seen: RebuildView) -> None:
    """The stack, its shims, the elbow, the lift and the torque; then the order to build in."""
    _write_fit(sheet, seen)
    _write_plan(sheet, seen)


def _write_plan(sheet: Sheet, seen: RebuildView) -> None:
    sheet.gate(seen.gate.zero)
    plan = seen.plan
    if plan is None:
        sheet.line(
            Message("Enter the tools to hand with `wetend strip` to see the order of assembly.")
        )
        return
    if not plan.possible:
        sheet.heading(Message("It can't be reassembled with these tools:"))
        for why in plan.why_not:
            sheet.said(Message("- {why}", why=why))
        return
    sheet.heading(Message("Reassemble: {time}", time=sheet.show(plan.time, unit_of(SAsMinutes))))
    tightened = {c.text for c in seen.fit.cautions} if seen.fit else set()
    warned = said_once([[c for c in s.cautions if c.text not in tightened] for s in plan.steps])
    for step, cautions in zip(plan.steps, warned, strict=True):
        _write_step(sheet, step, cautions, done=step.key in seen.done)
    write_tray(sheet, seen.visit.pump, places(seen.visit.pump, seen.laid, seen.apart, seen.coming))
    for line in plan.afterwards:
        sheet.said(line)
    sheet.line(plan.proof)


def _write_step(
    sheet: Sheet, step: RebuildStep, cautions: Sequence[Caution], *, done: bool
) -> None:
    for caution in cautions:
        sheet.caution(caution)
    if step.turn_to:
        sheet.line(Message("   {turn_to}", turn_to=step.turn_to))
    tools = Message(" [{tools}]", tools=joined(", ", step.tools)) if step.tools else ""
    sheet.line(
        Message(
            "{mark} {number}. {title}{tools}  ({key})",
            mark="●" if done else "○",
            number=step.number,
            title=step.title,
            tools=tools,
            key=step.key,
        )
    )
    lines = [step.how, *step.notes, *step.stand_ins]
    if step.torque is not None:
        pull = ""
        if step.pull is not None and step.lever is not None:
            pull = Message(
                " = {pull} on the {lever} lever",
                pull=sheet.show(step.pull, unit_of(N)),
                lever=sheet.show(step.lever, unit_of(M)),
            )
        lines.append(
            Message(
                "Torque {torque}{pull}.", torque=sheet.show(step.torque, unit_of(NM)), pull=pull
            )
        )
    if step.check:
        lines.append(Message("Before you continue: {check}", check=step.check))
    for line in lines:
        if line:
            sheet.said(Message("     {line}", line=line))


def _write_tried(sheet: Sheet, seen: TriedView) -> None:
    """The stack as calculated beside the stack as tried."""
    if seen.right is None or seen.tried is None:
        sheet.line(Message("Enter measured heights or the tin first; then try other shims."))
        return
    rows = [
        [
            v.title,
            v.clock,
            sheet.show(v.lift, unit_of(M)),
            sheet.show(v.clamp, unit_of(N)),
        ]
        for v in (seen.right, seen.tried)
    ]
    sheet.table([Message("shims"), Message("elbow"), Message("ball lift"), Message("clamp")], rows)
    sheet.said(seen.tried.why or Message("The same as calculated."))


def _write_fit(sheet: Sheet, seen: RebuildView) -> None:
    fit = seen.fit
    if fit is None:
        names = joined(", ", (f"heights.{p.name}=" for p in seen.visit.pump.stack.parts))
        sheet.line(
            Message("Enter measured heights and the tin: {names} tin=2x0.5mm,0.25mm", names=names)
        )
        return
    for ring in seen.rings:
        sheet.said(
            Message(
                "{verdict}  {title}: {why} At least {least}.",
                verdict=sheet.verdict(ring.verdict), title=ring.title, why=ring.why,
                least=sheet.show(ring.least, unit_of(M)),
            )
        )  # fmt: skip
    shims = joined(" + ", (sheet.show(s, unit_of(M)) for s in fit.shims)) or Message("none")
    sheet.heading(Message("Shims: {shims}, all on top of the cage", shims=shims))
    sheet.table(
        [Message("from the housing's floor"), Message("free"), Message("clamped")],
        [[x.title, sheet.show(x.free_height, unit_of(M)),
          sheet.show(x.height, unit_of(M))] for x in fit.layers],
    )  # fmt: skip
    sheet.line(
        Message(
            "Elbow {clock}, 90 % interval {clock_low} to {clock_high}: {elbow_verdict} "
            "({on_target} on target)",
            clock=fit.clock,
            clock_low=fit.clock_low,
            clock_high=fit.clock_high,
            elbow_verdict=sheet.verdict(fit.elbow_verdict),
            on_target=chance_text(fit.on_target),
        )
    )
    sheet.line(
        Message(
            "Ball lift {lift}: {lift_verdict}",
            lift=sheet.show(fit.lift, unit_of(M)),
            lift_verdict=sheet.verdict(fit.lift_verdict),
        )
    )
    for squeeze in fit.squeezes:
        text = sheet.show(squeeze.squeeze, unit_of(Percent))
        sheet.line(
            Message(
                "Squeeze of {name}: {text}, {verdict}",
                name=squeeze.name,
                text=text,
                verdict=sheet.verdict(squeeze.verdict),
            )
        )
    lever = ""
    if fit.lever is not None and fit.lever_force is not None:
        pull, arm = sheet.show(fit.lever_force, unit_of(N)), sheet.show(fit.lever, unit_of(M))
        lever = Message(" = {pull} on the {arm} lever", pull=pull, arm=arm)
    for caution in fit.cautions:
        sheet.caution(caution)
    sheet.said(
        Message(
            "Torque {torque}{lever}. {gland}",
            torque=sheet.show(fit.torque, unit_of(NM)),
            lever=lever,
            gland=fit.gland,
        )
    )
    for wrong in fit.variants:
        sheet.said(
            Message(
                "If {title}: elbow {clock}, lift {lift}. {why}",
                title=wrong.title,
                clock=wrong.clock,
                lift=sheet.show(wrong.lift, unit_of(M)),
                why=wrong.why,
            )
        )


@app.command(
    cls=helped(
        'wetend rebuild last heights.seat="12.01 mm" tin="0.5, 0.5, 0.25, 0.1 mm" lever="0.5 m"',
        'wetend rebuild last --under "0.5 mm"',
        tables=[fields(StackMeasured)],
    )
)
def command(
    ctx: typer.Context,
    name: VisitName,
    given: Given = None,
    done: Annotated[list[str] | None, typer.Option(help="A step done, by its key.")] = None,
    on_top: Annotated[str, typer.Option(help="Try shims on top of the cage; saves nothing.")] = "",
    under: Annotated[str, typer.Option(help="Try shims under the cage; saves nothing.")] = "",
    as_json: AsJson = False,
) -> None:
    """Enter measured heights and the shims to hand; show shims, elbow, torque and order.

    heights.NAME is given part by part; the command alone lists this pump's names.
    """
    keep_stack = keeper(StackMeasured, given, rebuild.save)

    def keep(desk: Desk, visit_id: str) -> None:
        if keep_stack is not None:
            keep_stack(desk, visit_id)
        if done:
            with naming_the_list(name):
                rebuild.mark(desk, visit_id, done=tuple(done))

    kept = keep if given or done else None
    if on_top or under:
        tried = read(ShimsTried, {"on_top": on_top, "under": under}, system=system_of(ctx))
        save_and_show(
            ctx, name, keep=kept, view=lambda desk, visit: rebuild.try_shims(desk, visit, tried),
            write=_write_tried, as_json=as_json, stage="rebuild",
        )  # fmt: skip
        return
    save_and_show(
        ctx, name, keep=kept, view=rebuild.view, write=write, as_json=as_json, stage="rebuild"
    )
