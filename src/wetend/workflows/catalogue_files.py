"""Import and export of the catalogue as TOML, CSV or a spreadsheet."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError

from wetend.advice.stores.shelf import Stocked
from wetend.errors import BadInput, Problem, TooLarge
from wetend.pump.catalogue import CatalogueItem, StockCounted
from wetend.pump.toml import toml_value
from wetend.pump.usage import FITTED_WORDS
from wetend.units.decoding import decoded, toml_table
from wetend.units.fields import explain
from wetend.units.message import Message, joined
from wetend.units.parse import plain_number
from wetend.units.suggestions import near_or_all
from wetend.workflows.catalogue import Row, items_of, keep
from wetend.workflows.desk import Desk
from wetend.workflows.exporting import csv_text
from wetend.workflows.history_table import read_history
from wetend.workflows.importing import pump_names

COLUMNS = (
    "number", "name", "parts", "pumps", "supplier", "price", "pack", "least", "lead_days", "shelf",
    "van", "ordered", "note",
)  # fmt: skip
"""Columns of the table, and fields of an ``[[item]]`` in TOML."""
MOST = 5000
"""Items in one file."""
_DAY = 86400.0
_MOST_LETTERS = 3_000_000


def to_csv(items: Sequence[Stocked]) -> str:
    """The catalogue as a table, to fill in and import again."""
    return csv_text(COLUMNS, (_cells(s) for s in items))


def _values(stocked: Stocked) -> dict[str, Any]:
    item = stocked.item
    counted = stocked.counted is not None
    return {
        "number": item.number, "name": item.name, "parts": list(item.parts),
        "pumps": list(item.pumps), "supplier": item.supplier, "price": item.price,
        "pack": item.pack, "least": item.least,
        "lead_days": None if item.lead is None else item.lead / _DAY,
        "shelf": stocked.shelf if counted else None, "van": stocked.van if counted else None,
        "ordered": stocked.ordered if counted else None, "note": item.note,
    }  # fmt: skip


def _cells(stocked: Stocked) -> list[object]:
    values = _values(stocked)
    for name in ("price", "lead_days"):
        values[name] = None if values[name] is None else f"{values[name]:.10g}"
    values["parts"] = joined("; ", (FITTED_WORDS[part] for part in stocked.item.parts))
    values["pumps"] = joined("; ", stocked.item.pumps)
    return [values[name] for name in COLUMNS]


def to_toml(items: Sequence[Stocked]) -> str:
    """The catalogue as TOML, an ``[[item]]`` each."""
    lines = ["# The owner's catalogue: part numbers, suppliers, prices, shelf and van."]
    for stocked in items:
        lines += ["", "[[item]]"]
        lines += [
            Message("{name} = {value}", name=name, value=toml_value(value))
            for name, value in _values(stocked).items()
            if value is not None and value != ""
        ]
    return "\n".join(lines) + "\n"


def read_file(desk: Desk, data: bytes) -> tuple[Row, ...]:
    """Items from a file's bytes, TOML or a table; the content shows which.

    Raises:
        BadInput: it can't be read, or an item in it can't be used; a problem an item.
        TooLarge: more than can be taken at once.
    """
    rows = _toml_rows(data)
    table = _table_rows(data) if rows is None else rows
    if len(table) > MOST:
        raise TooLarge(Message("More than {most} items; split the file.", most=MOST))
    names = pump_names(desk)
    found, problems = [], []
    for number, values in enumerate(table, start=1):
        try:
            found.append(_row(values, names))
        except BadInput as bad:
            problems.append(
                Problem(f"{number}", Message("Item {number}: {bad}", number=number, bad=bad))
            )
    if problems:
        raise BadInput(joined(" ", (p.sentence for p in problems[:5])), tuple(problems))
    return tuple(found)


def bring_in(desk: Desk, data: bytes) -> tuple[int, int]:
    """Save a file's items, all or none: how many it holds, and how many entries were added.

    Raises:
        BadInput: it can't be read, or an item in it can't be used.
    """
    rows = read_file(desk, data)
    return len(rows), keep(desk, rows)


def take_out(desk: Desk, *, as_toml: bool) -> str:
    """The catalogue as text of either kind."""
    items = items_of(desk)
    return to_toml(items) if as_toml else to_csv(items)


def _toml_rows(data: bytes) -> list[Mapping[str, Any]] | None:
    """The tables of a TOML file; ``None`` where it is none."""
    if not any("[[item]]".encode(encoding) in data for encoding in ("utf-8", "utf-16-le")):
        return None
    if len(data) > _MOST_LETTERS:
        raise TooLarge(Message("The file is larger than 3 MB; split it."))
    table = toml_table(decoded(data))
    rows = table.get("item")
    if not isinstance(rows, list) or set(table) != {"item"}:
        raise BadInput(Message("A catalogue in TOML holds [[item]] tables and nothing else."))
    return [row if isinstance(row, dict) else {} for row in rows]


def _table_rows(data: bytes) -> list[Mapping[str, Any]]:
    history = read_history(data)
    heads = [name.strip().lower().replace(" ", "_") for name in history.columns]
    if "number" not in heads or "parts" not in heads:
        raise BadInput(
            Message(
                "The table needs the columns {columns}; it lacks some.",
                columns=joined(", ", COLUMNS),
            )
        )
    return [_filled(heads, row) for row in history.rows]


def _filled(heads: Sequence[str], row: Sequence[str]) -> Mapping[str, Any]:
    """A row's cells by column, the blank ones left out."""
    return {name: cell for name, cell in zip(heads, row, strict=False) if cell}


def _plain(value: Any) -> Any:
    """A cell without the apostrophe that keeps a spreadsheet from running it."""
    risky = isinstance(value, str) and re.match(r"'[=+\-@\t\r]", value)
    return value[1:] if risky else value


def _several(value: Any) -> list[str]:
    values = value if isinstance(value, list) else re.split(r"[;,\n]", str(value))
    return [str(one).strip() for one in values if str(one).strip()]


def _part(words: str) -> str:
    plain = joined(" ", words.lower().replace("-", " ").replace("_", " ").split())
    for part, known in FITTED_WORDS.items():
        if plain in (part.replace("-", " "), known.replace("-", " ")):
            return part
    raise BadInput(
        Message(
            "“{words}” is not a part; known: {join}.",
            words=words[:40],
            join=joined(", ", FITTED_WORDS.values()),
        )
    )


def _number(value: Any, name: str) -> Any:
    if not isinstance(value, str):
        return value
    try:
        return plain_number(value)
    except BadInput as bad:
        raise BadInput(Message("{name}: {bad}", name=name, bad=bad)) from bad


def _days(value: Any) -> float:
    try:
        return float(value) * _DAY
    except (TypeError, ValueError) as error:
        raise BadInput(
            Message("lead_days: “{value}” is not a number of days.", value=str(value)[:30])
        ) from error


def _row(values: Mapping[str, Any], names: Mapping[str, str]) -> Row:
    given = {name: _plain(value) for name, value in values.items()}
    strange = sorted(set(given) - set(COLUMNS))
    if strange:
        near = near_or_all(strange[0], COLUMNS)
        raise BadInput(
            Message("There is no field “{strange}”; {near}", strange=strange[0][:40], near=near)
        )
    counted: dict[str, Any] = {
        name: _number(given.pop(name), name)
        for name in ("shelf", "van", "ordered")
        if name in given
    }
    for name in ("price", "pack", "least", "lead_days"):
        if name in given:
            given[name] = _number(given[name], name)
    if "lead_days" in given:
        given["lead"] = _days(given.pop("lead_days"))
    if "parts" in given:
        given["parts"] = [_part(words) for words in _several(given["parts"])]
    if "pumps" in given:
        given["pumps"] = [names.get(p.lower(), p) for p in _several(given["pumps"])]
    try:
        item = CatalogueItem.model_validate(given)
        count: dict[str, Any] = {"number": item.number, **counted}
        return Row(item, StockCounted.model_validate(count) if counted else None)
    except ValidationError as error:
        raise explain(error, CatalogueItem) from error
