"""``wetend checks``: running checks read, and what explains them."""

from __future__ import annotations

import itertools
import sys
import time
from typing import Annotated

import typer

from wetend.advice.diagnosis.answers import CheckAdvice
from wetend.advice.diagnosis.checks import CHECKS, Check
from wetend.advice.diagnosis.diagnose import Diagnosis, Finding, Prediction
from wetend.advice.diagnosis.words import right_text, worth_text
from wetend.cli.arguments import pairs
from wetend.cli.field_rows import fields
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, Given, VisitName
from wetend.cli.output import Sheet, caution_line, word, write_json
from wetend.cli.stage import save_and_show
from wetend.cli.zero_lapse import warn_if_zero_ended
from wetend.errors import BadInput
from wetend.pump.readings import CheckReadings
from wetend.telling.reader import METRIC, Reader
from wetend.units.fields import read
from wetend.units.message import Message, Retold, joined
from wetend.units.quantity import Creep, CycleRate, Pa, S, unit_of
from wetend.units.show import chance_text
from wetend.units.suggestions import near_or_all
from wetend.workflows import checks
from wetend.workflows.checks import ChecksView
from wetend.workflows.desk import Desk

app = command_app()


def _predicted(sheet: Sheet, title: str, read: Prediction) -> None:
    sheet.line(title)
    sheet.figure(Message("up-stroke"), read.up_time, unit_of(S))
    sheet.figure(Message("down-stroke"), read.down_time, unit_of(S))
    sheet.figure(Message("gauge spraying"), read.spray_pressure, unit_of(Pa))
    sheet.figure(Message("gauge at stall"), read.stall_pressure, unit_of(Pa))
    sheet.figure(Message("creep up at stall"), read.creep_up, unit_of(Creep))
    sheet.figure(Message("creep down at stall"), read.creep_down, unit_of(Creep))
    sheet.figure(Message("cycles"), read.cycle_rate, unit_of(CycleRate))


def _bare(text: str) -> str:
    return text.rstrip(",")


def _size(sheet: Sheet, finding: Finding) -> str:
    """How big a fault is if it is there, 90 % interval."""
    if finding.size is None:
        return ""
    low, high = (sheet.show(v, finding.size.unit) for v in
                 (finding.size.interval.low, finding.size.interval.high))  # fmt: skip
    return Message(
        "{size} {low} to {high}", size=Retold(_bare, finding.size.what), low=low, high=high
    )


def found(sheet: Sheet, answer: Diagnosis) -> None:
    """The faults with their chances, what to open and what to check next."""
    for caution in answer.urgent:
        sheet.caution(caution)
    for remark in answer.remarks:
        sheet.line(remark)
    sheet.heading(Message("What explains the readings"))
    rows = [[f.fault.title, word(f.word), chance_text(f.probability), _size(sheet, f)]
            for f in answer.findings]  # fmt: skip
    sheet.table(
        [Message("fault"), "", Message("chance"), Message("if present, 90 % interval")], rows
    )
    sheet.line(answer.why)
    if answer.leave_wet_end:
        sheet.line(Message("Leave the wet end alone."))
    for caution in answer.cautions:
        sheet.caution(caution)
    sheet.line(Message("Next check: {next_check}", next_check=answer.next_check))
    if answer.best:
        worth = worth_text(answer.best)
        sheet.line(Message("  It {worth}. {best}", worth=worth, best=right_text(answer.best)))
    for caution in answer.before_opening:
        sheet.caution(caution)
    sheet.line(Message("Open first: {open_first}", open_first=answer.open_first))


def write(sheet: Sheet, seen: ChecksView) -> None:
    """Readings expected of a sound pump, and the diagnosis."""
    if seen.look_first:
        first = seen.look_first[0]
        sheet.line(
            Message(
                "Rule out first: {cause}. {shows}",
                cause=Retold(str.lower, first.title),
                shows=first.shows,
            )
        )
        sheet.line(
            Message(
                "Everything to check first, in order: wetend complaint {id}", id=seen.visit.id[-6:]
            )
        )
    if seen.healthy is None:
        sheet.line(Message("Choose the coating first: wetend coating VISIT KEY"))
        return
    _predicted(sheet, Message("A sound pump with this coating:"), seen.healthy)
    if seen.diagnosis is None:
        sheet.line(Message("No reading yet."))
    else:
        found(sheet, seen.diagnosis)


def tapped(first: str, reader: Reader = METRIC) -> dict[str, str]:
    """Stroke times from the return key pressed at each turn; ``q`` and return ends."""
    strokes = next(check for check in CHECKS if check.key == "strokes")
    for caution in strokes.cautions:
        sys.stderr.write(f"{reader.tell(caution_line(caution))}\n")
    sentence = Message(
        "Press return at each turn; the first stroke timed is {way}. q stops.", way=Message(first)
    )
    sys.stderr.write(f"{reader.tell(sentence)}\n")
    marks: list[float] = []
    for line in sys.stdin:
        if line.strip().lower() == "q":
            break
        marks.append(time.monotonic())
    spans = [later - earlier for earlier, later in itertools.pairwise(marks)]
    ups, downs = (spans[::2], spans[1::2]) if first == "up" else (spans[1::2], spans[::2])
    return {"up_times": joined(", ", (f"{t:.3f}" for t in ups)),
            "down_times": joined(", ", (f"{t:.3f}" for t in downs))}  # fmt: skip


def write_check(sheet: Sheet, check: Check | CheckAdvice) -> None:
    """A check's cautions, then how it is done."""
    sheet.heading(
        Message(
            "{title}, {minutes:g} min ({key})",
            title=check.title,
            minutes=check.minutes,
            key=check.key,
        )
    )
    for caution in check.cautions:
        sheet.caution(caution)
    sheet.said(check.how)
    sheet.said(
        Message("Needs: {needs} Read as: {read_as}", needs=check.needs, read_as=check.read_as)
    )


def _say_how(key: str, *, as_json: bool) -> None:
    asked = [check for check in CHECKS if key in ("all", check.key)]
    if not asked:
        known = near_or_all(key, (check.key for check in CHECKS), Message("there are"))
        raise BadInput(Message("--how: “{key}” is not a check; {known}", key=key[:40], known=known))
    if as_json:
        named = ("key", "title", "minutes", "cautions", "how", "needs", "read_as", "acts")
        write_json([{name: getattr(check, name) for name in named} for check in asked])
        return
    sheet = Sheet()
    for check in asked:
        write_check(sheet, check)


@app.command(
    cls=helped(
        'wetend checks last up_times="1.29, 1.24, 1.28 s" down_times="1.06, 1.09, 1.04 s"',
        'wetend checks last creep_down="650 mm/min" stall_pressure="270 bar"',
        "wetend checks last --how strokes",
        tables=[fields(CheckReadings)],
    )
)
def command(
    ctx: typer.Context,
    name: VisitName,
    given: Given = None,
    tap: Annotated[
        str, typer.Option(help="Time strokes with the return key; up or down first.")
    ] = "",
    how: Annotated[
        str, typer.Option(help="Show how to do a check, by its key; `all` for every one.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Enter readings of the running checks, and show which faults explain them.

    --how CHECK says how one check is done, its cautions first; `--how all` says it of each.
    """
    if how and (given or tap):
        raise BadInput(
            Message("--how only shows how to do a check; enter readings with a second command.")
        )
    if tap not in ("", "up", "down"):
        raise BadInput(Message("--tap is up or down: which stroke comes first."))
    if how:
        _say_how(how, as_json=as_json)
        return

    def keep(desk: Desk, visit_id: str) -> None:
        typed = pairs(given or []) | (tapped(tap, desk.reader) if tap else {})
        checks.save(desk, visit_id, read(CheckReadings, typed, system=desk.system))

    save_and_show(
        ctx, name, keep=warn_if_zero_ended(keep) if given or tap else None, view=checks.view,
        write=write, as_json=as_json, stage="checks",
    )  # fmt: skip
