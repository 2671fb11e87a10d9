"""Prints the record of a visit or a pump."""

from __future__ import annotations

from wetend.cli.output import Sheet, word, write_json
from wetend.records.entries import Entry
from wetend.units.message import Message, joined
from wetend.workflows.record import Line, RecordView


def show_record(sheet: Sheet, view: RecordView, *, as_json: bool) -> None:
    """Every entry, the newest first."""
    if as_json:
        write_json(view.lines)
        return
    sheet.table(
        [
            Message("entry"),
            Message("when (UTC)"),
            Message("who"),
            Message("what"),
            Message("says"),
            "",
        ],
        [_row(x) for x in view.lines],
    )


def write_taken_back(sheet: Sheet, entry: Entry, *, as_json: bool) -> None:
    """That an entry is no longer shown."""
    sentence = Message(
        "Withdrawn: {id} ({kind}); `put-back` restores it.", id=entry.id[-6:], kind=word(entry.kind)
    )
    sheet.kept(entry, sentence, as_json=as_json)


def write_put_back(sheet: Sheet, entry: Entry, *, as_json: bool) -> None:
    """That an entry is shown again."""
    sheet.kept(
        entry,
        Message("Restored: {id} ({kind}).", id=entry.id[-6:], kind=word(entry.kind)),
        as_json=as_json,
    )


def _row(line: Line) -> list[str]:
    states = [Message("withdrawn")] if line.withdrawn else [Message("left out")] * bool(line.why)
    if line.after_sign_off:
        states.append(Message("after the sign-off"))
    state = joined(", ", states)
    says = joined(
        "; ", (Message("{label}: {value}", label=label, value=value) for label, value in line.says)
    )
    when = f"{line.entry.at:%Y-%m-%d %H:%M}"
    return [
        line.entry.id[-6:],
        when,
        line.entry.who,
        word(line.what),
        says,
        Message("{state}: {why}", state=state, why=line.why) if line.why else state,
    ]
