"""``wetend strip``: the tool bag and the strip card."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

import typer

from wetend.advice.safety.hazards import said_once
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet
from wetend.cli.stage import keeper, naming_the_list, save_and_show
from wetend.drawings.acts.tray import Place, places
from wetend.pump.description import Pump
from wetend.pump.readings import ToolBag
from wetend.units.message import Message, joined
from wetend.units.quantity import SAsMinutes, unit_of
from wetend.units.show import chance_text
from wetend.workflows import strip
from wetend.workflows.desk import Desk
from wetend.workflows.strip import StripView

app = command_app()


def write(sheet: Sheet, seen: StripView) -> None:
    """The strip card as text."""
    sheet.gate(seen.gate.zero)
    if seen.plan is None:
        sheet.line(Message("Enter the tools to hand: tools=KEY,KEY… goal=whole. Known tools:"))
        for key, title in seen.tools.items():
            sheet.line(Message("  {key}  {title}", key=key, title=title))
        return
    plan = seen.plan
    if not plan.possible:
        sheet.heading(Message("This can't be done safely with these tools:"))
        for why in plan.why_not:
            sheet.said(Message("- {why}", why=why))
        return
    if plan.replanned:
        sheet.line(Message("The strip did not follow the plan; the rest is planned from here."))
    left = (
        Message(", {left} left", left=sheet.show(plan.left, unit_of(SAsMinutes)))
        if seen.done
        else ""
    )
    sheet.heading(
        Message(
            "Strip to: {goal}, {time}{left}, risk to parts {risk}",
            goal=plan.goal,
            time=sheet.show(plan.time, unit_of(SAsMinutes)),
            left=left,
            risk=chance_text(plan.risk),
        )
    )
    warned = said_once([step.cautions for step in plan.steps])
    for step, cautions in zip(plan.steps, warned, strict=True):
        for caution in cautions:
            sheet.caution(caution)
        if step.turn_to:
            sheet.line(Message("   {turn_to}", turn_to=step.turn_to))
        done = "●" if step.operation.key in seen.done else "○"
        tools = Message(" [{tools}]", tools=joined(", ", step.tools)) if step.tools else ""
        sheet.line(
            Message(
                "{done} {number}. {title}{tools}",
                done=done,
                number=step.number,
                title=step.operation.title,
                tools=tools,
            )
        )
        for stand_in in step.stand_ins:
            sheet.said(Message("     {stand_in}", stand_in=stand_in))
    write_tray(sheet, seen.visit.pump, places(seen.visit.pump, seen.order, seen.done, seen.coming))
    for keep in plan.keep:
        sheet.said(Message("Keep: {keep}", keep=keep))
    sheet.line(plan.proof)


def write_tray(sheet: Sheet, pump: Pump, laid: Sequence[Place]) -> None:
    """What lies on the tray, in the order it came off, and what comes next."""
    if any(place.there for place in laid):
        sheet.heading(Message("On the tray, in the order it came off:"))
    for place in laid:
        if place.there:
            title = joined(", ", (place.title, *place.notes(pump)))
            sheet.said(Message("{number}. {parts}", number=place.number, parts=title))
    for place in laid:
        if place.following:
            sheet.said(Message("Next: {number}. {parts}", number=place.number, parts=place.title))


@app.command(
    cls=helped(
        "wetend strip last tools=timber-block,soft-drift,long-c-spanner,hammer goal=foot-valve",
        "wetend strip last --done slacken-gland",
        tables=[fields(ToolBag)],
    )
)
def command(
    ctx: typer.Context,
    name: VisitName,
    given: Given = None,
    done: Annotated[list[str] | None, typer.Option(help="An operation done, by its key.")] = None,
    anew: Annotated[
        bool,
        typer.Option("--anew", help="Opened again after a rebuild: clear the marks so far."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Enter the tools to hand, and show the shortest safe order to strip.

    The command alone lists the tools' keys.
    """
    bag = keeper(ToolBag, given, strip.save_bag)

    def keep(desk: Desk, visit_id: str) -> None:
        if bag:
            bag(desk, visit_id)
        if anew:
            strip.begin_anew(desk, visit_id)
        if done:
            with naming_the_list(name):
                strip.mark(desk, visit_id, done=tuple(done))

    keeps = given or anew or done
    save_and_show(
        ctx,
        name,
        keep=keep if keeps else None,
        view=strip.view,
        write=write,
        as_json=as_json,
        stage="strip",
    )
