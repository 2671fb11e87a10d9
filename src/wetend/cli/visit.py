"""``wetend visit``: start a visit, list visits, show one, add photos and notes."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.arguments import one_of
from wetend.cli.desk import opened
from wetend.cli.help_format import group_app, helped
from wetend.cli.options import AsJson, EntryName, PumpKey, VisitName
from wetend.cli.output import Sheet, word, write_json
from wetend.cli.read_file import bytes_of
from wetend.cli.record_text import show_record, write_put_back, write_taken_back
from wetend.cli.stage import write_left_out
from wetend.pump.readings import Note, VisitStart
from wetend.records.fold import STAGES
from wetend.records.photos import MOST_BYTES
from wetend.units.fields import read
from wetend.units.message import Message, joined
from wetend.workflows import record as entered
from wetend.workflows import visits
from wetend.workflows.gc_freeze import read_in

app = group_app(Message("Start, list and show visits; add photos and notes."))


@app.command(cls=helped('wetend visit start quay-air --reason "quick on the way down"'))
def start(
    ctx: typer.Context,
    pump: PumpKey,
    site: Annotated[str, typer.Option(help="Where the pump is.")] = "",
    reason: Annotated[str, typer.Option(help="Why you were called, up to 200 characters.")] = "",
    as_json: AsJson = False,
) -> None:
    """Start a visit to a pump."""
    with opened(ctx) as desk:
        begun = {"pump": desk.pump(pump).key, "site": site, "reason": reason}
        also = visits.open_at(desk, begun["pump"])
        visit_id = visits.start(desk, read(VisitStart, begun))
        if as_json:
            write_json({"visit": visit_id, "also_open": [v.id for v in also]})
            return
        sheet = Sheet(desk.system)
        sheet.line(
            Message(
                "Visit {visit_id} started; `last` or {visit_id_2} names it.",
                visit_id=visit_id,
                visit_id_2=visit_id[-6:],
            )
        )
        for v in also:
            sheet.line(
                Message(
                    "This pump has an open visit already, {id}, since {started:%Y-%m-%d %H:%M} "
                    "UTC: continue that one if it is the same call.",
                    id=v.id[-6:],
                    started=v.started,
                )
            )


@app.command("list", cls=helped("wetend visit list"))
def list_open(ctx: typer.Context, as_json: AsJson = False) -> None:
    """List the visits not signed off yet."""
    with opened(ctx) as desk:
        unfinished = visits.open_visits(desk)
        if as_json:
            write_json(unfinished)
            return
        Sheet(desk.system).table(
            [Message("visit"), Message("started"), Message("complaint")],
            [[v.id[-6:], f"{v.started:%Y-%m-%d %H:%M}", v.complaint[:60]] for v in unfinished],
        )


@app.command(cls=helped("wetend visit show last"))
def show(ctx: typer.Context, name: VisitName, as_json: AsJson = False) -> None:
    """Show one visit: which stages are done, and its entries."""
    with opened(ctx) as desk:
        visit = desk.visit(visits.find(desk, name))
        if as_json:
            write_json(visit)
            return
        sheet = Sheet(desk.system)
        sheet.heading(
            Message(
                "Visit {id} to {name}, {started:%Y-%m-%d %H:%M} UTC",
                id=visit.id[-6:],
                name=visit.pump.name,
                started=visit.started,
            )
        )
        sheet.line(
            joined(
                "  ",
                (
                    Message("{mark} {stage}", mark="●" if visit.done[s] else "○", stage=Message(s))
                    for s in STAGES
                ),
            )
        )
        write_left_out(sheet, visit)
        sheet.table(
            [Message("entry"), Message("when"), Message("who"), Message("what")],
            [[e.id[-6:], f"{e.at:%Y-%m-%d %H:%M}", e.who, word(e.kind)] for e in visit.entries],
        )


@app.command(
    "next",
    cls=helped(
        "wetend visit next last",
        "wetend visit next last --left",
        'wetend visit next last --cannot "no gauge at the drive"',
    ),
)
def next_command(
    ctx: typer.Context,
    name: VisitName,
    left: Annotated[
        bool, typer.Option("--left", help="List what is left, with minutes and worth.")
    ] = False,
    act: Annotated[str, typer.Option(help="Another act than the next, by its name.")] = "",
    cannot: Annotated[str, typer.Option(help="Why this act can't be done.")] = "",
    as_json: AsJson = False,
) -> None:
    """Show the act that comes next in a visit: its cautions, then what to do and enter."""
    # only here: they read in what diagnoses
    acts_of = read_in("wetend.workflows.acts.queue").acts_of
    shown = read_in("wetend.cli.next_act")
    with opened(ctx) as desk:
        visit_id = visits.find(desk, name)
        seen = acts_of(desk, visit_id)
        asked = seen.act(*act.partition("/")[::2]) if act else seen.next
        sheet = Sheet(desk.system)
        if cannot and asked is not None:
            read_in("wetend.workflows.acts.saving").skip(desk, visit_id, asked, cannot)
            seen = acts_of(desk, visit_id)
            if not as_json:
                shown.write_skipped(sheet, asked, cannot)
            asked = seen.next
        if as_json:
            write_json(shown.as_data(seen, seen.left if left else tuple(filter(None, (asked,)))))
            return
        shown.write_believed(sheet, seen)
        if left:
            shown.write_left(sheet, seen)
        elif asked is None:
            sheet.line(Message("Nothing more comes up by itself: wetend visit next VISIT --left"))
        else:
            shown.write_act(sheet, seen, asked)


@app.command(cls=helped('wetend visit note last "gland weeps again"'))
def note(
    ctx: typer.Context, name: VisitName,
    text: Annotated[str, typer.Argument(metavar="TEXT", help="Up to 4,000 characters.")],
    stage: Annotated[str, typer.Option(help="The stage it belongs to.")] = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Save a remark with a visit."""
    with opened(ctx) as desk:
        note = read(Note, {"text": text, "stage": one_of("--stage", stage, STAGES)})
        visit = visits.add_note(desk, visits.find(desk, name), note)
        Sheet(desk.system).kept(
            visit.entries[-1],
            Message("Saved with visit {visit}.", visit=visit.id[-6:]),
            as_json=as_json,
        )


@app.command(cls=helped('wetend visit photo last seat.jpg --caption "chipped at 4 o\'clock"'))
def photo(
    ctx: typer.Context, name: VisitName,
    file: Annotated[Path, typer.Argument(metavar="FILE", help="JPEG, PNG or WebP.")],
    caption: Annotated[str, typer.Option(help="What it shows.")] = "",
    stage: Annotated[str, typer.Option(help="The stage it belongs to.")] = "",
    keep_location: Annotated[
        bool,
        typer.Option("--keep-location", help=
            "Keep what the phone stored in the photo, such as where it was taken; default: "
            "removed."),
    ] = False,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Save a photo with a visit, without its location."""
    one_of("--stage", stage, STAGES)
    data = bytes_of(file, most=MOST_BYTES)
    with opened(ctx) as desk:
        kept = visits.add_photo(
            desk, visits.find(desk, name), data, caption=caption, stage=stage,
            keep_location=keep_location,
        )  # fmt: skip
        if as_json:
            write_json(kept)
        else:
            Sheet(desk.system).line(Message("Saved as {sha256}….", sha256=kept.sha256[:12]))


@app.command(cls=helped("wetend visit record last"))
def record(ctx: typer.Context, name: VisitName, as_json: AsJson = False) -> None:
    """List everything entered in a visit: who, when, what, and what was withdrawn."""
    with opened(ctx) as desk:
        show_record(
            Sheet(desk.system), entered.of_visit(desk, visits.find(desk, name)), as_json=as_json
        )


@app.command(cls=helped('wetend visit withdraw last 7f3a2c --reason "typed in the wrong unit"'))
def withdraw(
    ctx: typer.Context, name: VisitName,
    entry: EntryName,
    reason: Annotated[str, typer.Option(help="Why.")] = "", as_json: AsJson = False,
) -> None:  # fmt: skip
    """Withdraw an entry; it stays in the record."""
    with opened(ctx) as desk:
        view = entered.of_visit(desk, visits.find(desk, name))
        taken = entered.withdraw(desk, entered.find(view, entry).id, reason)
        write_taken_back(Sheet(desk.system), taken, as_json=as_json)


@app.command("put-back", cls=helped("wetend visit put-back last 7f3a2c"))
def put_back(
    ctx: typer.Context, name: VisitName, entry: EntryName, as_json: AsJson = False
) -> None:
    """Restore a withdrawn entry."""
    with opened(ctx) as desk:
        view = entered.of_visit(desk, visits.find(desk, name))
        shown = entered.put_back(desk, entered.find(view, entry).id)
        write_put_back(Sheet(desk.system), shown, as_json=as_json)
