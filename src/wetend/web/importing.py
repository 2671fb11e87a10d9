"""Import of a history from a table: upload, map the columns, preview, save."""

from __future__ import annotations

import hashlib
import io
from dataclasses import dataclass, replace
from functools import partial

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from wetend.errors import BadInput, NotFound
from wetend.keeping import MB, Keep
from wetend.progress import Progress, quiet
from wetend.units.message import Message
from wetend.units.show import pretty
from wetend.web.access import AtDesk, Sent
from wetend.web.cancel_on_disconnect import run_until_disconnect
from wetend.web.form_data import Texts, Typed, query_texts
from wetend.web.pages import go, render
from wetend.workflows import importing as workflow
from wetend.workflows import imports
from wetend.workflows.depot_json import write_depot
from wetend.workflows.desk import Desk
from wetend.workflows.exporting import write_export
from wetend.workflows.history_table import LIMITS, History, read_history
from wetend.workflows.history_words import DayOrder, bare_units, doubtful_columns
from wetend.workflows.import_readings import Reading, day_order

router = APIRouter()
FIELD_WORDS = {
    "pump": Message("Pump, by key or name"),
    "day": Message("Day, or the first day of a use"),
    "last": Message("Last day of a use"),
    "part": Message("Part fitted"),
    "why": Message("Why it was fitted"),
    "pumped": Message("Pumped"),
    "cycles": Message("Cycles"),
    "at_work": Message("Time at work"),
    "area": Message("Area coated"),
    "coating": Message("Coating"),
    "note": Message("Remark"),
}
ORDERS: tuple[tuple[DayOrder, str], ...] = (
    ("year first", Message("Year, month, day")),
    ("day first", Message("Day, month, year")),
    ("month first", Message("Month, day, year")),
)
_SHOWN_ROWS = 5
_ASKED = 30
"""Readings asked for at once; the others when these are confirmed."""
_SURE = 60
_A_CELL = 100
"""Bytes that a cell of a table takes in memory, about."""


@dataclass(frozen=True)
class StartPage:
    """The upload page, with earlier imports."""

    fault: str
    imports: tuple[imports.ImportLine, ...]
    undone: str = ""
    """Why an import was neither withdrawn nor restored."""
    limits: str = LIMITS


@dataclass(frozen=True)
class Choice:
    """One field and the column chosen for it."""

    field: str
    words: str
    column: str
    unit: str
    """What its bare numbers are in; blank for what is no quantity."""


@dataclass(frozen=True)
class ImportPage:
    """A table with its columns mapped, and the preview of the import."""

    key: str
    history: History
    choices: tuple[Choice, ...]
    rows: tuple[tuple[str, ...], ...]
    """The first few, to look at."""
    days: DayOrder
    orders: tuple[tuple[DayOrder, str], ...]
    pump: str
    pumps: tuple[str, ...]
    seen: workflow.Preview | None
    fault: str
    ask: tuple[Reading, ...] = ()
    """Readings to look at: doubtful, not read, or said by a person."""
    more: int = 0
    """How many more there are after these."""
    sure: tuple[Reading, ...] = ()
    """Those that are exactly a name known here."""
    shown: int = workflow.SHOWN


def _bytes(key: str, history: History) -> int:
    return len(key) + _A_CELL * len(history.columns) * len(history.rows)


_TRAY = Keep[History](Message("tables waiting to be kept"), most=64 * MB, weigh=_bytes, newest=True)
"""Tables read and waiting to be kept, by the file's hash."""


def _put(data: bytes, name: str, progress: Progress) -> str:
    """Read a table and let it wait; its key."""
    key = hashlib.sha256(data).hexdigest()[:32]
    _TRAY.put(key, read_history(data, name, progress))
    return key


def _waiting(key: str) -> History:
    """The table waiting under a key.

    Raises:
        NotFound: it waits no longer.
    """
    history = _TRAY.peek(key)
    if history is None:
        raise NotFound(Message("That table has expired; upload the file again. Nothing was saved."))
    return history


def _start(
    request: Request, desk: Desk, *, fault: str = "", undone: str = "", status: int = 200
) -> Response:
    page = StartPage(fault, imports.listed(desk), undone)
    return render(request, "import.html", page, title=Message("Import and export"), status=status)


@router.get("/import")
def ask(request: Request, desk: AtDesk) -> Response:
    """Where a file is chosen."""
    return _start(request, desk)


@router.post("/import")
async def send(request: Request, desk: AtDesk, typed: Sent) -> Response:
    """Read the file sent, while its sender waits."""
    return await run_until_disconnect(request, partial(_sent, request, desk, typed))


def _sent(request: Request, desk: Desk, typed: Typed, progress: Progress) -> Response:
    data = typed.files.get("table", b"")
    try:
        if not data:
            raise BadInput(Message("Choose a file first, then upload it."))
        key = _put(data, typed.names.get("table", ""), progress)
    except BadInput as bad:
        return _start(request, desk, fault=str(bad), status=bad.status)
    return go(f"/import/{key}")


@router.post("/imports")
def change(request: Request, desk: AtDesk, typed: Sent) -> Response:
    """Withdraw or restore an import with all its rows."""
    whole = imports.find(desk, typed.last("import")).entry.id
    try:
        if typed.last("do") == "put back":
            imports.put_back(desk, whole)
        else:
            imports.withdraw(desk, whole, typed.last("reason"))
    except BadInput as bad:
        return _start(request, desk, undone=str(bad), status=bad.status)
    return go("/import", saved="1", anchor="brought")


def _plan(texts: Texts, history: History, desk: Desk) -> workflow.ImportPlan:
    def last(name: str) -> str:
        return texts.get(name, ("",))[-1]

    chosen = {f: last(f"col.{f}") for f in FIELD_WORDS if last(f"col.{f}")}
    if not any(name.startswith("col.") for name in texts):
        chosen = workflow.suggest(history.columns)
    days: DayOrder = next((key for key, _ in ORDERS if key == last("days")), "year first")
    if not last("days") and chosen.get("day"):
        place = history.columns.index(chosen["day"])
        days = day_order([row[place] for row in history.rows if place < len(row)])[0]
    plan = workflow.ImportPlan(
        chosen,
        last("pump").strip().lower(),
        days,
        desk.system,
        workflow.remembered(desk),
        doubtful_columns(chosen),
    )
    return _answered(plan, texts, history, desk)


def _answered(
    plan: workflow.ImportPlan, texts: Texts, history: History, desk: Desk
) -> workflow.ImportPlan:
    """The plan with what the form says of readings, found again by their names."""
    said = {name.removeprefix("say."): values[-1] for name, values in texts.items()
            if name.startswith("say.") and values[-1]}  # fmt: skip
    if not said:
        return plan
    try:
        known = workflow.read_all(desk, history, plan)
    except BadInput:
        return plan
    answers = {r.key: said[r.name] for r in known if r.name in said}
    return replace(plan, readings={**plan.readings, **answers})


def _page(
    request: Request, desk: Desk, key: str, texts: Texts, fault: str = "",
    progress: Progress = quiet,
) -> Response:  # fmt: skip
    history = _waiting(key)
    plan = _plan(texts, history, desk)
    seen = None
    try:
        seen = workflow.preview(desk, history, plan, progress)
    except BadInput as bad:
        fault = fault or str(bad)
    units = bare_units(plan.columns, plan.system, history.columns)
    if seen is not None:
        units |= {r.field.partition(".")[2]: r.value for r in seen.readings
                  if r.field.startswith("unit.")}  # fmt: skip
    choices = tuple(
        Choice(f, w, plan.columns.get(f, ""), pretty(units.get(f, "")))
        for f, w in FIELD_WORDS.items()
    )
    ask, sure = _to_look_at(seen)
    page = ImportPage(
        key, history, choices, history.rows[:_SHOWN_ROWS], plan.days, ORDERS, plan.pump,
        tuple(sorted(set(workflow.pump_names(desk).values()))), seen, fault,
        ask[:_ASKED], max(len(ask) - _ASKED, 0), sure[:_SURE],
    )  # fmt: skip
    asked = any(name.startswith("col.") for name in texts)
    return render(request, "import-table.html", page, title=Message("Import a history"),
                  status=422 if fault and asked else 200)  # fmt: skip


def _to_look_at(
    seen: workflow.Preview | None,
) -> tuple[tuple[Reading, ...], tuple[Reading, ...]]:
    """Readings that a person decides, the open ones first, and those that are sure."""
    if seen is None:
        return (), ()
    ask = [r for r in seen.readings if not (r.sure and r.value) or r.by_person]
    ask.sort(key=lambda r: (r.sure, bool(r.value)))
    return tuple(ask), tuple(r for r in seen.readings if r not in ask)


@router.get("/import/{key}")
async def look(request: Request, desk: AtDesk, key: str) -> Response:
    """The table as it would be understood."""

    def work(progress: Progress) -> Response:
        return _page(request, desk, key, query_texts(request), progress=progress)

    return await run_until_disconnect(request, work)


@router.post("/import/{key}")
async def keep(request: Request, desk: AtDesk, key: str, typed: Sent) -> Response:
    """Save all of it, or nothing."""
    return await run_until_disconnect(request, partial(_kept, request, desk, key, typed))


def _kept(request: Request, desk: Desk, key: str, typed: Typed, progress: Progress) -> Response:
    history = _waiting(key)
    try:
        seen = workflow.preview(desk, history, _plan(typed.texts, history, desk), progress)
        workflow.keep(desk, seen, leave_out=typed.last("leave_out") == "yes")
    except BadInput as bad:
        return _page(request, desk, key, typed.texts, str(bad))
    return go("/import", saved="1", anchor="brought")


@router.get("/export.zip")
def export(desk: AtDesk) -> Response:
    """Everything as CSV tables in one archive."""
    whole = io.BytesIO()
    write_export(desk, whole)
    headers = {"Content-Disposition": 'attachment; filename="depot-tables.zip"'}
    return Response(whole.getvalue(), media_type="application/zip", headers=headers)


@router.get("/export.json")
def export_json(desk: AtDesk) -> Response:
    """Every entry as JSON, to be imported again by command."""
    whole = io.BytesIO()
    write_depot(desk, whole)
    headers = {"Content-Disposition": 'attachment; filename="depot.json"'}
    return Response(whole.getvalue(), media_type="application/json", headers=headers)
