"""``wetend listen``: stroke times from a sound recording, a pressure log or taps."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal, cast

import typer

from wetend.advice.listening.answer import Listening, Side, Way
from wetend.cli.desk import opened
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, may_be_written, word, write_file, write_json
from wetend.cli.progress_bar import metered
from wetend.cli.read_file import bytes_of
from wetend.cli.session import Session
from wetend.drawings import ink, listening
from wetend.errors import BadInput
from wetend.units.message import Message
from wetend.units.quantity import Percent, S, unit_of
from wetend.workflows import listening as workflow
from wetend.workflows import visits

app = command_app()
_MOST_BYTES = 64_000_000
_FILE = Message(
    "WAV recording, CSV pressure log or tap times. A recording up to 64 MB, a "
    "log up to 20 MB and 500,000 rows; two minutes are used: the first of a "
    "recording, the most active of a log."
)


def _way(first: str) -> Way | None:
    if first not in ("", "up", "down"):
        raise BadInput(
            Message("--first must be up or down: which way the first stroke found goes.")
        )
    return cast(Literal["up", "down"], first) if first else None


def _side(sheet: Sheet, side: Side) -> None:
    if side.middle is None or side.interval is None:
        return
    low, high = (sheet.show(v, unit_of(S)) for v in (side.interval.low, side.interval.high))
    sheet.line(
        Message(
            "  {name}: {middle}, 90 % interval {low} to {high}, from {times} strokes",
            name=word(side.name),
            middle=sheet.show(side.middle, unit_of(S)),
            low=low,
            high=high,
            times=len(side.times),
        )
    )
    if side.scatter is not None:
        sheet.figure(Message("  scatter of one stroke"), side.scatter, unit_of(S))
    if side.drift is not None:
        sheet.figure(Message("  drift a minute"), side.drift, unit_of(Percent))


def write(sheet: Sheet, heard: Listening) -> None:
    """What was heard, for a person to read."""
    sheet.heading(
        Message("{quality}: {summary}", quality=word(heard.quality), summary=heard.summary)
        if heard.quality != "clear"
        else heard.summary
    )
    for side in heard.sides:
        _side(sheet, side)
    for reason in heard.could_not:
        sheet.line(Message("- {reason}", reason=reason))
    if heard.quality != "not read" and not heard.marked:
        sheet.line(Message("Add --first up or --first down to name the strokes."))
    for working in heard.workings:
        sheet.working(working)


def _draw(sheet: Sheet, heard: Listening, path: Path) -> None:
    write_file(path, ink.standalone(listening.trace(heard, reader=sheet.reader)).encode())


@app.command(cls=helped("wetend listen pump.wav --first up --visit last"))
def command(
    ctx: typer.Context,
    file: Annotated[Path, typer.Argument(metavar="FILE", help=_FILE)],
    first: Annotated[str, typer.Option(help="Which way the first stroke goes: up or down.")] = "",
    visit: Annotated[str, typer.Option(help="Save the times with this visit's checks.")] = "",
    taps: Annotated[bool, typer.Option("--taps", help="The file holds tap times, s.")] = False,
    column: Annotated[str, typer.Option(help="Log: the pressure column.")] = "",
    time: Annotated[str, typer.Option(help="Log: the time column.")] = "",
    rate: Annotated[float, typer.Option(help="Log without times: readings a second.")] = 0.0,
    draw: Annotated[Path | None, typer.Option(help="Write the trace as SVG here.")] = None,
    as_json: AsJson = False,
) -> None:
    """Time the strokes from a recording of the pump's sound or a log of its pressure."""
    way = _way(first)
    if not 0 <= rate <= 1e6:
        raise BadInput(Message("--rate must be readings a second, above zero."))
    if taps and (column or time or rate):
        raise BadInput(
            Message("--column, --time and --rate are for a pressure log, not for --taps.")
        )
    if visit and way is None:
        raise BadInput(Message("To save the times, add --first up or --first down."))
    may_be_written(draw)
    data = bytes_of(file, most=_MOST_BYTES)
    if taps:
        heard = workflow.from_taps(workflow.tap_times(data), way)
    else:
        columns = workflow.LogColumns(time, column, rate or None)
        with metered("listening") as progress:
            heard = workflow.analyse(data, way, columns, progress)
    if visit:
        _keep(ctx, visit, heard)
    session: Session = ctx.obj or Session()
    sheet = Sheet(session.units.value)
    if draw is not None:
        _draw(sheet, heard, draw)
    if as_json:
        write_json(heard)
    else:
        write(sheet, heard)


def _keep(ctx: typer.Context, name: str, heard: Listening) -> None:
    if not heard.marked:
        raise BadInput(Message("To save the times, add --first up or --first down."))
    if heard.quality == "not read":
        raise BadInput(Message("Nothing was saved. {summary}", summary=heard.summary))
    with opened(ctx) as desk:
        visit_id = visits.find(desk, name)
        workflow.save(desk, visit_id, heard.times("up"), heard.times("down"), spread=heard.spread)
