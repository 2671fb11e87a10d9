"""``wetend find-fault``: readings in a file to the fault, the next check, and what to open."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.advice.diagnosis.causes import Around
from wetend.advice.diagnosis.diagnose import Diagnosis, diagnose
from wetend.cli.checks import found as write_found
from wetend.cli.checks import write_check
from wetend.cli.desk import system_of
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_json
from wetend.cli.read_file import text_of
from wetend.cli.sources import coating_of, desk_if_any, is_file, pump_of
from wetend.errors import BadInput
from wetend.pump.readings import CheckReadings, ToolBag
from wetend.pump.readings_file import MOST, readings_from, readings_schema
from wetend.units.message import Message
from wetend.units.show import chance_text, minutes_text
from wetend.workflows.desk import Desk
from wetend.workflows.life_facts import fault_leanings

app = command_app()


def _around(desk: Desk | None, place: str, tools: str) -> Around:
    """The tools to hand, and the past of a pump that the depot knows."""
    bag = ToolBag(tools=tuple(t.strip() for t in tools.split(",") if t.strip()))
    known = desk is not None and not is_file(place)
    return Around(bag=bag, leanings=fault_leanings(desk, place) if desk and known else {})


def _more(sheet: Sheet, answer: Diagnosis, *, how: bool) -> None:
    """Checks left, the order of opening, and what each reading says."""
    sheet.heading(Message("Remaining checks"))
    sheet.table(
        [Message("check"), Message("takes"), Message("saves on average"), Message("settles")],
        [[c.title, minutes_text(c.minutes), minutes_text(c.minutes_saved),
          c.settles if c.worth else Message("not worth its minutes")] for c in answer.checks],
    )  # fmt: skip
    if answer.stop_asking:
        sheet.line(Message("Open the pump: no remaining check saves more than it takes."))
    for check in answer.checks if how else ():
        write_check(sheet, check)
    sheet.heading(
        Message(
            "Order of repair; about {minutes_to_fixed} until fixed",
            minutes_to_fixed=minutes_text(answer.minutes_to_fixed),
        )
    )
    for opening in answer.openings:
        if opening.chance >= 0.02:
            shut = "" if opening.inside else Message(", wet end stays shut")
            sheet.line(
                Message(
                    "  {title}: {minutes}, chance needed {chance}{shut}",
                    title=opening.title,
                    minutes=minutes_text(opening.minutes),
                    chance=chance_text(opening.chance),
                    shut=shut,
                )
            )
    sheet.heading(Message("Evidence from each reading"))
    for each in answer.contributions:
        sheet.line(Message("  {reading}: {says}", reading=each.reading, says=each.says))


@app.command(
    cls=helped(
        "wetend find-fault --pump quay-air --coating epoxy-tank --readings readings.toml",
        "wetend find-fault --schema",
        tables=[fields(CheckReadings, 'What the file of readings may hold, name = "value" a line')],
    )
)
def command(
    ctx: typer.Context,
    pump: Annotated[str, typer.Option(help="The pump: a TOML file, or its key.")] = "",
    coating: Annotated[str, typer.Option(help="The coating: its key, or a TOML file.")] = "",
    readings: Annotated[str, typer.Option(help="The readings: a TOML or JSON file.")] = "",
    tools: Annotated[str, typer.Option(help="Tools to hand, by key, with commas.")] = "",
    particles: Annotated[
        int, typer.Option(min=1000, max=500_000, help="Simulated pumps.")
    ] = 40_000,
    how: Annotated[
        bool, typer.Option("--how", help="Show how to do each remaining check.")
    ] = False,
    schema: Annotated[bool, typer.Option("--schema", help="Write the readings' schema.")] = False,
    as_json: AsJson = False,
) -> None:
    """Find the fault from readings in a file: causes, next check, what to open.

    Without a depot too, for a pump and a coating that come as files or as examples.
    """
    if schema:
        write_json(readings_schema())
        return
    for name, given in (("--pump", pump), ("--coating", coating), ("--readings", readings)):
        if not given:
            raise BadInput(Message("Give {name}; `wetend find-fault --help` shows how.", name=name))
    read = readings_from(text_of(Path(readings), most=2 * MOST))
    system = system_of(ctx)
    with desk_if_any(ctx, pump, coating) as desk:
        answer = diagnose(
            pump_of(desk, pump), coating_of(desk, coating), read, particles=particles,
            around=_around(desk, pump, tools),
        )  # fmt: skip
        if as_json:
            write_json(answer)
            return
        sheet = Sheet(system)
        write_found(sheet, answer)
        _more(sheet, answer, how=how)
