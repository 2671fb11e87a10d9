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
from wetend.units.suggestions import near_or_all
from wetend.workflows import importing, pumps_table
from wetend.workflows.depot_json import MOST_BYTES as MOST_JSON
from wetend.workflows.depot_json import is_depot_json, merge_depot, read_depot
from wetend.workflows.history_table import LIMITS, MOST_BYTES, History, read_history
from wetend.workflows.history_words import DayOrder, bare_units, by_field, doubtful_columns
from wetend.workflows.import_readings import Key, lasting, read_key
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


def _file(data: bytes, name: str) -> History:
    with metered("reading") as progress:
        return read_history(data, name, progress)


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


def _columns(
    history: History, kept: dict[str, str], given: list[str]
) -> tuple[dict[str, str], frozenset[str]]:
    """Column by field, and the fields whose column is only guessed."""
    guess = importing.suggest(history.columns)
    said = {field: column for field, column in kept.items() if ":" not in field}
    for text in given:
        field, sign, column = text.partition("=")
        if not sign:
            raise BadInput(Message("“{text}” is not FIELD=COLUMN.", text=text[:60]))
        said[field.strip()] = column.strip()
    chosen = {field: column for field, column in by_field({**guess, **said}).items() if column}
    guessed = doubtful_columns({f: c for f, c in chosen.items() if f not in by_field(said)})
    return chosen, guessed


def _said(kept: dict[str, str], given: list[str]) -> dict[Key, str]:
    """Readings of a mapping file and of ``--read``."""
    found = {read_key(text): value for text, value in kept.items() if ":" in text}
    for each in given:
        text, sign, value = each.rpartition("=")
        if not sign or ":" not in text:
            raise BadInput(Message("“{text}” is not FIELD:TEXT=READING.", text=each[:60]))
        found[read_key(text.strip())] = value.strip()
    return found


def _refuse_unknown(seen: Preview, given: list[str]) -> None:
    """Refuse a reading that the table does not ask for, or that can't be one.

    Raises:
        BadInput: says what can be chosen.
    """
    known = {r.key: r for r in seen.readings}
    for each in given:
        text, _, value = each.rpartition("=")
        reading = known.get(read_key(text.strip()))
        if reading is None:
            asked = near_or_all(text, [f"{r.field}:{r.text}" for r in seen.readings])
            raise BadInput(
                Message("The table does not ask what “{text}” is; {asked}", text=text[:60],
                        asked=asked)
            )  # fmt: skip
        values = [v for v, _ in reading.options]
        if value.strip() not in values:
            raise BadInput(
                Message("“{text}” can't be read as “{value}”; {known}", text=text[:60],
                        value=value[:40], known=near_or_all(value, values))
            )  # fmt: skip


def _readings(sheet: Sheet, seen: Preview) -> None:
    """Every different text with its reading, the open ones first."""
    rows = sorted(seen.readings, key=lambda r: (r.sure and bool(r.value), bool(r.value)))
    if not rows:
        return
    sheet.table(
        [Message("text"), Message("rows"), Message("read as"), ""],
        [[f"{r.field}:{r.text[:50]}", str(r.count), r.words or "-",
          "" if r.sure else Message("please check") if r.value else Message("not read")]
         for r in rows[: importing.SHOWN]],
    )  # fmt: skip
    if seen.doubts:
        sheet.line(
            Message(
                '{count} readings are doubtful. Change one by --read "FIELD:TEXT=READING", or take '
                "them as they stand by --as-proposed.",
                count=len(seen.doubts),
            )
        )
    if seen.twice:
        pairs = ", ".join(f"{row} = {first}" for row, first in seen.twice[:10])
        sheet.line(Message("Rows that say what an earlier one says, counted once: {p}", p=pairs))


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


_FIELD_HELP = {
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
    return [(f"{name}=COLUMN", _FIELD_HELP[name]) for name in importing.FIELDS]


def _depot(ctx: typer.Context, data: bytes, *, keep: bool, as_json: bool) -> None:
    """Import a depot exported as JSON: what is there already is left."""
    entries = read_depot(data)
    with opened(ctx, begins=keep) as desk:
        new = merge_depot(desk, entries).new if keep else None
        if as_json:
            write_json({"entries": len(entries), "new": new})
            return
        sheet = Sheet(desk.system)
        sheet.line(Message("A depot of {n} entries.", n=len(entries)))
        sheet.line(
            Message("Saved {new} that were not here.", new=new)
            if keep
            else Message("Nothing saved yet: add --keep.")
        )


def _pumps(
    ctx: typer.Context, history: History, like: str, *, keep: bool, leave_out: bool, as_json: bool
) -> None:
    """Import pumps, a row each."""
    with opened(ctx, begins=keep) as desk:
        seen = pumps_table.preview(desk, history, like)
        kept = pumps_table.keep(desk, seen, leave_out=leave_out) if keep else 0
        if as_json:
            write_json({"new": [p.key for p in seen.pumps], "there": seen.there, "bad": seen.bad,
                        "unread": seen.unread, "kept": kept})  # fmt: skip
            return
        sheet = Sheet(desk.system)
        sheet.table(["key", "name", "site"], [[p.key, p.name, p.site] for p in seen.pumps])
        sheet.line(
            Message("New: {n}. Already there: {there}. Bad rows: {bad}.", n=len(seen.pumps),
                    there=len(seen.there), bad=len(seen.bad))
        )  # fmt: skip
        for bad in seen.bad[: importing.SHOWN]:
            sheet.line(
                Message("  row {number}: {sentence}", number=bad.number, sentence=bad.sentence)
            )
        if seen.unread:
            sheet.line(Message("Columns not read: {names}", names=", ".join(seen.unread)))
        sheet.line(
            Message("Saved {kept} pumps.", kept=kept)
            if keep
            else Message("Nothing saved yet: add --keep.")
        )


@app.command(
    cls=helped("wetend import history.csv", "wetend import pumps.csv --pumps",
               "wetend import depot.json --keep",
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
    read: Annotated[
        list[str] | None,
        typer.Option("--read", help="FIELD:TEXT=READING, such as part:pkg lower=moving-packings."),
    ] = None,
    as_proposed: Annotated[
        bool, typer.Option("--as-proposed", help="Confirm every reading as it is proposed.")
    ] = False,
    keep: Annotated[
        bool, typer.Option("--keep", help="Save the rows; without it, only a preview.")
    ] = False,
    leave_out: Annotated[
        bool, typer.Option("--leave-out", help="Skip bad rows and save the others.")
    ] = False,
    holds_pumps: Annotated[
        bool, typer.Option("--pumps", help="The table holds pumps, a row each.")
    ] = False,
    like: Annotated[
        str, typer.Option(help="With --pumps: the pump that those of the table are built like.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Import use and parts fitted from a table: preview first, save with --keep.

    A depot exported as JSON is imported whole: what is there already is left as it is.

    Column names are guessed; --map names those that are not.
    """
    if days not in _ORDERS:
        raise BadInput(Message("--days is ymd, dmy or mdy."))
    if leave_out and not keep:
        raise BadInput(Message("--leave-out only works with --keep."))
    data = bytes_of(file, most=max(MOST_BYTES, MOST_JSON))
    if is_depot_json(data):
        _depot(ctx, data, keep=keep, as_json=as_json)
        return
    history = _file(data, file.name)
    if holds_pumps:
        _pumps(ctx, history, like, keep=keep, leave_out=leave_out, as_json=as_json)
        return
    with opened(ctx, begins=keep) as desk:
        before = _mapping(mapping)
        chosen, guessed = _columns(history, before, columns or [])
        said = {**importing.remembered(desk), **_said(before, read or [])}
        plan = ImportPlan(chosen, pump.strip().lower(), _ORDERS[days], desk.system, said, guessed)
        if as_proposed:
            plan = importing.accepted(plan, importing.preview(desk, history, plan))
        with metered(Message("checking rows")) as progress:
            seen = importing.preview(desk, history, plan, progress)
        _refuse_unknown(seen, read or [])
        mapped = {**chosen, **lasting(seen.readings)}
        written = json.dumps(mapped, ensure_ascii=False, indent=2).encode()
        with file_with(mapping if keep else None, written):
            kept = importing.keep(desk, seen, leave_out=leave_out) if keep else 0
        if as_json:
            write_json({"read_as": history.read_as, "rows": seen.rows, "columns": chosen,
                        "new": len(seen.facts), "there": seen.there, "kept": kept,
                        "bad": seen.bad[: importing.SHOWN],
                        "bad_count": len(seen.bad), "readings": seen.readings,
                        "doubts": len(seen.doubts), "twice": seen.twice})  # fmt: skip
            return
        sheet = Sheet(desk.system)
        _write(sheet, history, plan, seen)
        _readings(sheet, seen)
        sheet.line(_kept(kept, seen) if keep else Message("Nothing saved yet: add --keep."))
