"""``wetend doctor``: look a depot through for damage, and mend it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from wetend.cli.desk import depot_place
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, write_json
from wetend.cli.session import Session
from wetend.records.health_check import HealthReport, examine
from wetend.records.integrity import State
from wetend.records.repair import RepairReport, mend
from wetend.records.store import Depot
from wetend.units.message import Message, plural

app = command_app()
_MOST = 20
_FILE = {
    State.SOUND: "",
    State.INDEXES: Message("An index of the file misses some entries."),
    State.BROKEN: Message("The file itself is damaged; everything readable was read."),
}


@app.command(cls=helped("wetend doctor", "wetend doctor --from depot-2031-05-04.zip"))
def command(
    ctx: typer.Context,
    do_mend: Annotated[
        bool,
        typer.Option("--mend", help="Drop what is damaged, rewrite the rest, make it private; "
                                    "the damaged file is kept beside it."),
    ] = False,
    backup: Annotated[
        Path | None,
        typer.Option("--from", help="Recover what is damaged from this backup, then repair."),
    ] = None,
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Check file, entries and photos, and list what is damaged. Exit code 1 if damage remains."""
    session: Session = ctx.obj or Session()
    place, sheet = depot_place(session), Sheet(session.units.value)
    if do_mend or backup is not None:
        done = mend(place, backup=backup)
        found = done.after
        if as_json:
            write_json(done)
        else:
            _write_done(sheet, done)
    else:
        with Depot.open(place, create=False) as depot:
            found = examine(depot)
        if as_json:
            write_json(found)
        else:
            _write_found(sheet, found)
    if not found.sound or (do_mend and done.lost):
        raise typer.Exit(1)


def _write_found(sheet: Sheet, found: HealthReport) -> None:
    sheet.heading(found.depot)
    sheet.line(
        Message(
            "{entries} and {photos} are intact.",
            entries=_count(found.entries, "entry"),
            photos=_count(found.photos, "photo"),
        )
    )
    if found.unread:
        sheet.line(
            Message(
                "{unread} are of a later version and can't be shown by this one.",
                unread=_count(found.unread, "entry"),
            )
        )
    for sentence in (*found.remarks, *_faults(found)):
        sheet.line(sentence)
    for each in found.damaged[:_MOST]:
        sheet.line(Message("  damaged: {named}, id {id}", named=each.named, id=each.id))
    _more(sheet, len(found.damaged))
    for what, photos in (("damaged", found.damaged_photos), ("missing", found.missing_photos)):
        for sha in photos[:_MOST]:
            sheet.line(Message("  photo {what}: {sha}", what=what, sha=sha))
        _more(sheet, len(photos))
    for path in found.open_to_others[:_MOST]:
        sheet.line(Message("  others may read: {path}", path=path))
    _more(sheet, len(found.open_to_others))
    if found.sound:
        sheet.line(Message("No damage found."))
    elif found.whole:
        sheet.line(Message("`wetend doctor --mend` makes them private."))
    else:
        sheet.line(
            Message(
                "`wetend doctor --from BACKUP` recovers what a backup has; `wetend doctor "
                "--mend` drops what is damaged. Stop the server first."
            )
        )


def _faults(found: HealthReport) -> list[str]:
    lines = [_FILE[found.file]]
    if found.missing:
        lines.append(Message("{missing} more are missing.", missing=_count(found.missing, "entry")))
    if not found.counted:
        lines.append(Message("The depot's own count of its entries is damaged."))
    lines += [Message("A damaged log was kept: {path}", path=path) for path in found.damaged_logs]
    return [sentence for sentence in lines if sentence]


def _write_done(sheet: Sheet, done: RepairReport) -> None:
    if done.restored is not None:
        back = done.restored.new_entries + done.restored.mended
        photos = _count(done.restored.new_photos, "photo")
        sheet.line(
            Message(
                "Recovered from the backup: {back} and {photos}.",
                back=_count(back, "entry"),
                photos=photos,
            )
        )
    if done.from_logs:
        sheet.line(
            Message(
                "Recovered from the damaged log: {from_logs}.",
                from_logs=_count(done.from_logs, "entry"),
            )
        )
    if done.put_aside:
        sheet.line(
            Message(
                "The file was rewritten; the damaged one is kept as {put_aside}.",
                put_aside=done.put_aside,
            )
        )
    for each in done.left_out[:_MOST]:
        sheet.line(Message("  dropped: {named}, id {id}", named=each.named, id=each.id))
    _more(sheet, len(done.left_out))
    if done.lost:
        sheet.line(Message("{lost} more are lost.", lost=_count(done.lost, "entry")))
    if done.tightened:
        sheet.line(
            Message("{tightened} files and folders are now private.", tightened=done.tightened)
        )
    if done.swept:
        sheet.line(Message("{swept} left by interrupted writes were removed.", swept=done.swept))
    sheet.line(Message("Now:"))
    _write_found(sheet, done.after)


_COUNTED = {
    "entry": ("{n} entry", "{n} entries"),
    "photo": ("{n} photo", "{n} photos"),
}


def _count(number: int, what: str) -> str:
    return plural(*_COUNTED[what], number)


def _more(sheet: Sheet, number: int) -> None:
    if number > _MOST:
        sheet.line(Message("  … and {number} more; --json names them all.", number=number - _MOST))
