"""``wetend import``: bring in an existing history from a table."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

import typer

from wetend.cli.desk import opened
from wetend.cli.field_rows import listed
from wetend.cli.help_format import Rows, command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, file_with, write_json
from wetend.cli.progress_bar import metered
from wetend.cli.read_file import bytes_of, text_of
from wetend.errors import BadInput
from wetend.units.message import Message
from wetend.units.show import pretty
from wetend.workflows import importing
from wetend.workflows.history_table import LIMITS, MOST_BYTES, History, read_history
from wetend.workflows.history_words import DayOrder, bare_units, by_field
from wetend.workflows.importing import ImportPlan, Preview

app = command_app()
_ORDERS: dict[str, DayOrder] = {
    "ymd": "year first", "dmy": "day first", "mdy": "month first",
}  # fmt: skip


_TABLE = Message(
    "CSV or spreadsheet (.xlsx), up to {most_bytes} MB: {limits}.",
    most_bytes=MOST_BYTES // 10**6,
    limits=LIMITS,
)


def _file(path: Path) -> History:
    data = bytes_of(path, most=MOST_BYTES)
    with metered("reading") as progress:
        return read_history(data, path.name, progress)


def _mapping(path: Path | None) -> dict[str, str]:
    if path is None or not path.is_file():
        return {}
    try:
        kept: Any = json.loads(text_of(path))
    except (ValueError, RecursionError, BadInput) as error:
        raise BadInput(
            Message("“{path}” is not a mapping saved by this command.", path=path)
        ) from error
    if not isinstance(kept, dict) or not all(isinstance(v, str) for v in kept.values()):
        raise BadInput(Message("“{path}” is not a mapping saved by this command.", path=path))
    return {str(k): v for k, v in kept.items()}


def _columns(history: History, kept: dict[str, str], given: list[str]) -> dict[str, str]:
    found = {**importing.suggest(history.columns), **kept}
    for text in given:
        field, sign, column = text.partition("=")
        if not sign:
            raise BadInput(Message("“{text}” is not FIELD=COLUMN.", text=text[:60]))
        found[field.strip()] = column.strip()
    return {field: column for field, column in by_field(found).items() if column}


def _write(sheet: Sheet, history: History, plan: ImportPlan, seen: Preview) -> None:
    sheet.line(Message("Read as {read_as}: {rows} rows.", read_as=history.read_as, rows=seen.rows))
    units = bare_units(plan.columns, plan.system, history.columns)
    rows = [[f, c, pretty(units.get(f, ""))] for f, c in plan.columns.items()]
    sheet.table([Message("field"), Message("column"), Message("numbers in")], rows)
    sheet.line(
        Message(
            "New: {uses} uses and {facts} parts fitted, of {pumps} pumps. Already there: "
            "{there}. Bad rows: {bad}.",
            uses=seen.uses,
            facts=len(seen.facts) - seen.uses,
            pumps=len(seen.pumps),
            there=seen.there,
            bad=len(seen.bad),
        )
    )
    for bad in seen.bad[: importing.SHOWN]:
        sheet.line(Message("  row {number}: {sentence}", number=bad.number, sentence=bad.sentence))
    if len(seen.bad) > importing.SHOWN:
        sheet.line(Message("  … and {bad} more.", bad=len(seen.bad) - importing.SHOWN))


def _kept(kept: int, seen: Preview) -> str:
    if kept < len(seen.facts):
        return Message("Saved 0: someone else was saving the same rows.")
    return Message("Saved {kept}. To undo it all: wetend imports withdraw last", kept=kept)


_SAID = {
    "pump": Message("The pump's key or name"),
    "day": Message("The day, or the first of several"),
    "last": Message("The last day of several"),
    "part": Message("The part that was fitted"),
    "why": Message("Why the old part was replaced"),
    "pumped": Message("Pumped (L, or gal with --units imperial)"),
    "cycles": Message("Cycles counted"),
    "at_work": Message("Time at work (h)"),
    "area": Message("Area coated (m², or ft² with --units imperial)"),
    "coating": Message("The coating's key or name"),
    "note": Message("A remark"),
}


def _fields() -> Rows:
    return [(f"{name}=COLUMN", _SAID[name]) for name in importing.FIELDS]


@app.command(
    cls=helped("wetend import history.csv",
               'wetend import history.csv --map pumped="Gallons" --keep',
               tables=[listed("Fields for --map", _fields)])
)  # fmt: skip
def command(
    ctx: typer.Context,
    file: Annotated[Path, typer.Argument(metavar="FILE", help=_TABLE)],
    columns: Annotated[
        list[str] | None,
        typer.Option("--map", help="FIELD=COLUMN, repeatable; guessed where not given."),
    ] = None,
    mapping: Annotated[
        Path | None, typer.Option(help="Mapping file to use; written here when rows are saved.")
    ] = None,
    pump: Annotated[str, typer.Option(help="The pump of all rows, if no column names it.")] = "",
    days: Annotated[str, typer.Option(help="Date order: ymd, dmy or mdy.")] = "ymd",
    keep: Annotated[
        bool, typer.Option("--keep", help="Save the rows; without it, only a preview.")
    ] = False,
    leave_out: Annotated[
        bool, typer.Option("--leave-out", help="Skip bad rows and save the others.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Import use and parts fitted from a table: preview first, save with --keep.

    Column names are guessed; --map names those that are not.
    """
    if days not in _ORDERS:
        raise BadInput(Message("--days is ymd, dmy or mdy."))
    if leave_out and not keep:
        raise BadInput(Message("--leave-out only works with --keep."))
    history = _file(file)
    with opened(ctx, begins=keep) as desk:
        chosen = _columns(history, _mapping(mapping), columns or [])
        plan = ImportPlan(chosen, pump.strip().lower(), _ORDERS[days], desk.system)
        with metered(Message("checking rows")) as progress:
            seen = importing.preview(desk, history, plan, progress)
        said = json.dumps(chosen, ensure_ascii=False, indent=2).encode()
        with file_with(mapping if keep else None, said):
            kept = importing.keep(desk, seen, leave_out=leave_out) if keep else 0
        if as_json:
            write_json({"read_as": history.read_as, "rows": seen.rows, "columns": chosen,
                        "new": len(seen.facts), "there": seen.there, "kept": kept,
                        "bad": seen.bad[: importing.SHOWN],
                        "bad_count": len(seen.bad)})  # fmt: skip
            return
        sheet = Sheet(desk.system)
        _write(sheet, history, plan, seen)
        sheet.line(_kept(kept, seen) if keep else Message("Nothing saved yet: add --keep."))
