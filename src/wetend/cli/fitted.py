"""``wetend fitted``: what was done with the parts on a visit, entered once."""

from __future__ import annotations

from typing import Annotated, get_args

import typer

from wetend.cli.arguments import day, pairs
from wetend.cli.field_rows import listed
from wetend.cli.help_format import Rows, command_app, helped
from wetend.cli.options import AsJson, VisitName
from wetend.cli.output import Sheet
from wetend.cli.stage import save_and_show
from wetend.pump.usage import FITTED_WORDS, Done, Why
from wetend.units.message import Message, joined
from wetend.workflows import fitted
from wetend.workflows.desk import Desk
from wetend.workflows.fitted import NOTHING, FittedView, read_answer

app = command_app()


def write(sheet: Sheet, seen: FittedView) -> None:
    """What is recorded of each part, and what the verdicts propose."""
    rows = []
    for line in seen.lines:
        if not line.at_hand:
            continue
        kept = line.kept
        why = line.why if line.done in ("new", "turned") else ""
        rows.append([line.part, line.title, line.done or Message("not recorded"), why,
                     "recorded" if kept else "proposed", kept.note if kept else ""])  # fmt: skip
    if not rows:
        sheet.line(Message("Nothing is recorded, and no measurement suggests anything."))
        return
    sheet.table(
        [
            Message("part"),
            "",
            Message("done"),
            Message("why the old part was replaced"),
            "",
            Message("note"),
        ],
        rows,
    )
    if not seen.visit.fitted:
        sheet.line(Message("Nothing is recorded yet; --as-proposed saves it as shown."))


def _parts() -> Rows:
    return [(f"{part}=", title) for part, title in FITTED_WORDS.items()]


def _answers() -> Rows:
    return [
        (
            "WHAT",
            joined(", ", (*get_args(Done), NOTHING)) + Message(" (withdraws what was recorded)"),
        ),
        ("WHY", joined(", ", get_args(Why))),
    ]


@app.command(
    cls=helped(
        'wetend fitted last foot-seat="turned, damaged" foot-ball="new, planned" cage=nothing',
        "wetend fitted last --as-proposed",
        tables=[listed("Parts, each given as PART=\"WHAT, WHY, NOTE\"", _parts),
                listed("What, and why the old part was replaced", _answers)],
    )
)  # fmt: skip
def command(
    ctx: typer.Context,
    name: VisitName,
    given: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="PART=WHAT", help="What was done; without any, what is recorded is shown."
        ),
    ] = None,
    as_proposed: Annotated[
        bool, typer.Option("--as-proposed", help="Save everything the verdicts propose.")
    ] = False,
    on: Annotated[str, typer.Option(help="The day fitted, like 2031-05-04.")] = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Record which parts were fitted new, turned or refitted, and why.

    Entered once: sign-off, report, life and stores read it. The latest word on a part counts.
    """
    answers = dict(read_answer(part, text) for part, text in pairs(given or []).items())
    when = day("--on", on)

    def keep(desk: Desk, visit_id: str) -> None:
        wanted = fitted.proposed(fitted.view(desk, visit_id)) if as_proposed else {}
        fitted.save(desk, visit_id, {**wanted, **answers}, on=when)

    save_and_show(
        ctx, name, keep=keep if answers or as_proposed else None, view=fitted.view, write=write,
        as_json=as_json,
    )  # fmt: skip
