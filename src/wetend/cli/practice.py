"""``wetend practice``: a pump with a hidden fault, by its code and the moves made."""

from __future__ import annotations

from typing import Annotated

import typer

from wetend.advice.practice.exercise import Debrief, is_move
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_json
from wetend.cli.session import Session
from wetend.errors import BadInput
from wetend.units.kinds import System
from wetend.units.message import Message, joined
from wetend.workflows import practice
from wetend.workflows.practice import PracticeView

app = command_app()


def _debriefed(sheet: Sheet, debrief: Debrief) -> None:
    sheet.heading(Message("The answer"))
    for line in debrief.truth:
        sheet.line(Message("  {line}", line=line))
    left = "" if debrief.mended else Message(" until repaired; you stopped before that")
    sheet.line(
        Message(
            "Your time {minutes:g} min, the best way {minutes_2:.0f} min{left}.",
            minutes=debrief.minutes,
            minutes_2=debrief.best.minutes,
            left=left,
        )
    )
    for astray in debrief.astray:
        sheet.line(Message("  Move {step}: {said}", step=astray.step, said=astray.said))
    sheet.line(Message("The best way, step by step: ") + joined("; ", debrief.best_steps) + ".")


def write(sheet: Sheet, view: PracticeView) -> None:
    """The exercise as it stands, with what can be done next."""
    standing = view.standing
    sheet.heading(
        Message(
            "{pump} with {coating}, code {code}",
            pump=standing.pump.name,
            coating=standing.coating.name,
            code=view.code,
        )
    )
    for report in view.reports:
        sheet.line(
            Message(
                "  {title} ({minutes:.1f} min): {showed}",
                title=report.title,
                minutes=report.minutes,
                showed=joined("; ", report.showed),
            )
        )
    sheet.line(Message("{minutes:.1f} minutes spent.", minutes=standing.minutes))
    if view.debrief is not None:
        _debriefed(sheet, view.debrief)
        return
    sheet.line(
        Message(
            "Practice only: on a real pump each check has its caution, and zero is proven before "
            "anything is opened."
        )
    )
    checks = [[c.key, c.title, f"{c.minutes:g}"] for c in standing.checks_left]
    jobs = [[f"open-{j.number}", j.job.title, f"{j.minutes:.0f}"] for j in standing.jobs_left]
    sheet.table(
        [Message("move"), Message("what"), Message("min")],
        [*checks, *jobs, [practice.GIVE_UP, Message("show the answer"), ""]],
    )


@app.command(cls=helped("wetend practice", "wetend practice CODE wet-cup strokes open-0"))
def command(
    ctx: typer.Context,
    code: Annotated[
        str, typer.Argument(metavar="CODE", help="Code of an exercise; without one, a new pump.")
    ] = "",
    moves: Annotated[
        list[str] | None, typer.Argument(metavar="MOVE", help="Moves, in the order made.")
    ] = None,
    pump: Annotated[str, typer.Option(help="For a new one: the pump's key.")] = "",
    coating: Annotated[str, typer.Option(help="For a new one: the coating's key.")] = "",
    faults: Annotated[
        str,
        typer.Option("--set", help="For a new one: faults to set, separated by commas; or none."),
    ] = "",
    size: Annotated[
        str, typer.Option(help="For a new one: how big the faults are, slight, moderate or severe.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Practise finding a hidden fault.

    All moves made so far are given each time; nothing is saved.
    """
    session: Session = ctx.obj or Session()
    system: System = "imperial" if session.units.value == "imperial" else "metric"
    if code and (pump or coating or faults or size):
        raise BadInput(
            Message("--pump, --coating, --set and --size are for a new exercise; omit CODE.")
        )
    if not code:
        named = [f.strip() for f in faults.split(",") if f.strip() and f.strip() != "none"]
        code = practice.new_code(pump, coating, named if faults else None, size=size)
    wrong = next((m for m in moves or () if not is_move(m)), None)
    if wrong is not None:
        raise BadInput(
            Message(
                "“{wrong}” is not a move; `wetend practice {code}` lists them.",
                wrong=wrong[:40],
                code=code,
            )
        )
    view = practice.view(code, tuple(moves or ()))
    if as_json:
        write_json(view)
    else:
        write(Sheet(system), view)
