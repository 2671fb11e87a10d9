"""``wetend report``: a visit's papers as PDF."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import opened
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson, VisitName
from wetend.cli.output import Sheet, may_be_written, one_output, write_file, write_json
from wetend.units.message import Message
from wetend.workflows import reports, visits

app = command_app()


class PaperKind(StrEnum):
    """Which document."""

    REPORT = "report"
    STRIP_CARD = "strip-card"
    REBUILD_CARD = "rebuild-card"
    CERTIFICATE = "certificate"
    SET_UP = "set-up"


_WRITERS = {
    PaperKind.REPORT: reports.write_report,
    PaperKind.STRIP_CARD: reports.write_strip_card,
    PaperKind.REBUILD_CARD: reports.write_rebuild_card,
    PaperKind.CERTIFICATE: reports.write_certificate,
    PaperKind.SET_UP: reports.write_set_up,
}


@app.command(
    cls=helped("wetend report last --to report.pdf", "wetend report last --kind strip-card")
)
def command(
    ctx: typer.Context,
    name: VisitName,
    to: Annotated[
        Path | None,
        typer.Option(help="File to write, - for standard output; default named after the visit."),
    ] = None,
    kind: Annotated[PaperKind, typer.Option(help="Which document.")] = PaperKind.REPORT,
    as_json: AsJson = False,
) -> None:
    """Write a visit's report, strip or rebuild card, certificate or set-up sheet as PDF."""
    one_output(to=str(to) == "-", json=as_json)
    may_be_written(to)
    with opened(ctx) as desk:
        paper = _WRITERS[kind](desk, visits.find(desk, name))
        if str(to) == "-":
            sys.stdout.buffer.write(paper.pdf)
            return
        target = to or Path(paper.name)
        write_file(target, paper.pdf)
        if as_json:
            write_json({"file": str(target), "bytes": len(paper.pdf)})
        else:
            Sheet(desk.system).line(Message("Wrote {target}", target=target))
