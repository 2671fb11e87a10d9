"""Pumps from a table: a row a pump, with the ten answers of a new pump as its columns."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wetend.errors import BadInput
from wetend.pump.description import Pump
from wetend.pump.toml import DEMO_PUMPS, demo_pump
from wetend.units.declared import Field, fields_of
from wetend.units.fields import read
from wetend.units.message import Message
from wetend.workflows.desk import Desk
from wetend.workflows.history_table import History
from wetend.workflows.history_words import unit_in
from wetend.workflows.importing import BadRow
from wetend.workflows.pumps import NewPump, described, key_from, scaled

_BARE = re.compile(r"[\d.,]+")


@dataclass(frozen=True)
class PumpsPreview:
    """What a table of pumps would add; nothing is saved yet."""

    pumps: tuple[Pump, ...]
    bad: tuple[BadRow, ...]
    there: tuple[str, ...]
    """Names that the depot has already; those rows are left."""
    unread: tuple[str, ...]
    """Columns that are none of the answers; they are not read."""


def _columns(headings: Sequence[str]) -> tuple[dict[str, tuple[int, str]], tuple[str, ...]]:
    """Place and unit of the column of each answer, and the columns that are none."""
    known = {word: f for f in fields_of(NewPump) for word in (f.name, _plain(f.label))}
    found: dict[str, tuple[int, str]] = {}
    unread = []
    for place, heading in enumerate(headings):
        field = known.get(_plain(re.sub(r"[\[(].*", "", heading)))
        if field is None or field.name in found:
            unread.append(heading)
            continue
        unit = unit_in(heading, field.unit.kind) if field.unit is not None else ""
        found[field.name] = place, unit
    return found, tuple(unread)


def _plain(text: str) -> str:
    return "_".join(re.findall(r"[a-z0-9]+", text.lower()))


def _typed(row: Sequence[str], columns: Mapping[str, tuple[int, str]], like: str) -> dict[str, str]:
    """A row's cells by the answers they give, each with its unit.

    Raises:
        BadInput: a number has no unit, and its heading names none.
    """
    fields: dict[str, Field] = {f.name: f for f in fields_of(NewPump)}
    found = {"like": like} if like else {}
    for name, (place, unit) in columns.items():
        cell = row[place] if place < len(row) else ""
        if not cell:
            continue
        measured = fields[name].unit
        if measured is not None and measured.kind.si != "1" and _BARE.fullmatch(cell):
            if not unit:
                raise BadInput(
                    Message("{name}: “{cell}” has no unit, and its heading names none, such as "
                            "[mm] or [bar].", name=name, cell=cell[:20])
                )  # fmt: skip
            cell = f"{cell} {unit}"
        found[name] = cell
    return found


def preview(desk: Desk, history: History, like: str = "") -> PumpsPreview:
    """What a table of pumps would add. Saves nothing.

    Args:
        desk: who brings it in.
        history: the table: its columns are the answers of :class:`~wetend.workflows.pumps.NewPump`
            by name or label, with the unit of bare numbers in brackets, as ``bore [mm]``.
        like: key of the pump that those without a ``like`` of their own are built like.

    Raises:
        BadInput: no column gives the pumps' names.
    """
    columns, unread = _columns(history.columns)
    if "name" not in columns:
        raise BadInput(Message("The table has no column “name”."))
    models = {key: demo_pump(key) for key in DEMO_PUMPS} | {p.key: p for p in described(desk)}
    taken = {pump.key for pump in described(desk, removed=True)}
    pumps: list[Pump] = []
    bad: list[BadRow] = []
    there: list[str] = []
    for number, row in enumerate(history.rows, start=1):
        try:
            answers = read(NewPump, _typed(row, columns, like))
            model = models.get(answers.like)
            if model is None:
                raise BadInput(
                    Message("There is no pump “{like}” to build it like.", like=answers.like)
                )
            key = key_from(answers.name)
            if key in {pump.key for pump in pumps}:
                raise BadInput(Message("Two rows make the same key “{key}”.", key=key))
            if key in taken:
                there.append(answers.name)
                continue
            named = {"key": key, "name": answers.name, "site": answers.site}
            pumps.append(scaled(model, answers).model_copy(update=named))
        except BadInput as why:
            bad.append(BadRow(number, str(why), tuple(row[:8])))
    return PumpsPreview(tuple(pumps), tuple(bad), tuple(there), unread)


def keep(desk: Desk, seen: PumpsPreview, *, leave_out: bool = False) -> int:
    """Save the pumps previewed: all, or none. How many were kept.

    Raises:
        BadInput: there are bad rows and nobody chose to leave them out.
    """
    if seen.bad and not leave_out:
        raise BadInput(
            Message(
                "{bad} rows can't be used; correct them, or choose to skip them. Nothing was "
                "saved.",
                bad=len(seen.bad),
            )
        )
    desk.keep_all([desk.new("pump-described", pump, pump=pump.key) for pump in seen.pumps])
    return len(seen.pumps)
