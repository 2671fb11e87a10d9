"""``wetend visit``: start a visit, list visits, show one, add photos and notes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import opened
from wetend.cli.output import Sheet, write_json
from wetend.cli.record_text import show_record
from wetend.errors import NotFound, TooLarge
from wetend.pump.readings import Note, VisitStart
from wetend.records.fold import STAGES
from wetend.units.fields import read
from wetend.workflows import record as entered
from wetend.workflows import visits

app = typer.Typer(
    add_completion=False, rich_markup_mode=None, no_args_is_help=True,
    help="Start, list and show visits; add photos and notes.",
)  # fmt: skip
AsJson = Annotated[bool, typer.Option("--json", help="Answer in JSON, SI.")]
VisitName = Annotated[str, typer.Argument(help="The visit's id, its last letters, or `last`.")]


@app.command()
def start(
    ctx: typer.Context,
    pump: Annotated[str, typer.Argument(help="The pump's key.")],
    site: Annotated[str, typer.Option(help="Where the pump stands.")] = "",
    reason: Annotated[str, typer.Option(help="Why you were called.")] = "",
    as_json: AsJson = False,
) -> None:
    """Start a visit to a pump."""
    with opened(ctx) as desk:
        begun = {"pump": desk.pump(pump).key, "site": site, "reason": reason}
        visit_id = visits.start(desk, read(VisitStart, begun))
        if as_json:
            write_json({"visit": visit_id})
        else:
            Sheet(desk.system).line(
                f"Visit {visit_id} started; `last` or {visit_id[-6:]} names it."
            )


@app.command("list")
def list_open(ctx: typer.Context, as_json: AsJson = False) -> None:
    """Visits not signed off yet."""
    with opened(ctx) as desk:
        unfinished = visits.open_visits(desk)
        if as_json:
            write_json(unfinished)
            return
        Sheet(desk.system).table(
            ["visit", "started", "complaint"],
            [[v.id[-6:], f"{v.started:%Y-%m-%d %H:%M}", v.complaint[:60]] for v in unfinished],
        )


@app.command()
def show(ctx: typer.Context, name: VisitName, as_json: AsJson = False) -> None:
    """One visit: which stages are done, and its entries."""
    with opened(ctx) as desk:
        visit = desk.visit(visits.find(desk, name))
        if as_json:
            write_json(visit)
            return
        sheet = Sheet(desk.system)
        sheet.heading(
            f"Visit {visit.id[-6:]} to {visit.pump.name}, {visit.started:%Y-%m-%d %H:%M} UTC"
        )
        sheet.line("  ".join(f"{'●' if visit.done[s] else '○'} {s}" for s in STAGES))
        sheet.table(
            ["entry", "when", "who", "what"],
            [[e.id[-6:], f"{e.at:%Y-%m-%d %H:%M}", e.who, e.kind] for e in visit.entries],
        )


@app.command()
def note(
    ctx: typer.Context, name: VisitName, text: Annotated[str, typer.Argument(help="The remark.")],
    stage: Annotated[str, typer.Option(help="The stage it belongs to.")] = "",
) -> None:  # fmt: skip
    """Keep a remark with a visit."""
    with opened(ctx) as desk:
        visits.add_note(desk, visits.find(desk, name), Note(text=text, stage=stage))


@app.command()
def photo(
    ctx: typer.Context, name: VisitName,
    file: Annotated[Path, typer.Argument(help="JPEG, PNG or WebP.")],
    caption: Annotated[str, typer.Option(help="What it shows.")] = "",
    stage: Annotated[str, typer.Option(help="The stage it belongs to.")] = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Keep a photo with a visit."""
    if not file.is_file():
        raise NotFound(f"There is no file “{file}”.")
    if file.stat().st_size > 20_000_000:
        raise TooLarge("The photo is larger than 20 MB.")
    with opened(ctx) as desk:
        kept = visits.add_photo(
            desk, visits.find(desk, name), file.read_bytes(), caption=caption, stage=stage
        )
        if as_json:
            write_json(kept)
        else:
            Sheet(desk.system).line(f"Kept under {kept.sha256[:12]}….")


@app.command()
def record(ctx: typer.Context, name: VisitName, as_json: AsJson = False) -> None:
    """Everything entered in a visit: who, when, what, and what was taken back."""
    with opened(ctx) as desk:
        show_record(
            Sheet(desk.system), entered.of_visit(desk, visits.find(desk, name)), as_json=as_json
        )


@app.command()
def withdraw(
    ctx: typer.Context, name: VisitName,
    entry: Annotated[str, typer.Argument(help="The entry's id or its last letters.")],
    reason: Annotated[str, typer.Option(help="Why.")] = "",
) -> None:  # fmt: skip
    """Take an entry out of what is shown; it stays in the record."""
    with opened(ctx) as desk:
        view = entered.of_visit(desk, visits.find(desk, name))
        entered.withdraw(desk, entered.find(view, entry).id, reason)


@app.command("put-back")
def put_back(
    ctx: typer.Context, name: VisitName,
    entry: Annotated[str, typer.Argument(help="The entry's id or its last letters.")],
) -> None:  # fmt: skip
    """Show an entry again that was taken back."""
    with opened(ctx) as desk:
        view = entered.of_visit(desk, visits.find(desk, name))
        entered.put_back(desk, entered.find(view, entry).id)
