"""The record of a visit or a pump as commands write it."""

from __future__ import annotations

from wetend.cli.output import Sheet, write_json
from wetend.workflows.record import Line, RecordView


def show_record(sheet: Sheet, view: RecordView, *, as_json: bool) -> None:
    """Every entry, the newest first."""
    if as_json:
        write_json(view.lines)
        return
    sheet.table(["entry", "when (UTC)", "who", "what", "says", ""], [_row(x) for x in view.lines])


def _row(line: Line) -> list[str]:
    state = "taken back" if line.withdrawn else "left out" if line.why else ""
    if line.after_sign_off:
        state = f"{state}, after the sign-off".removeprefix(", ")
    says = "; ".join(f"{label}: {value}" for label, value in line.says)
    when = f"{line.entry.at:%Y-%m-%d %H:%M}"
    return [line.entry.id[-6:], when, line.entry.who, line.what, says,
            f"{state}: {line.why}" if line.why else state]  # fmt: skip
