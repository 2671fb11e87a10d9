"""``wetend memory``: what is held in memory of computed answers, here or by a running server."""

from __future__ import annotations

from collections.abc import Sequence
from http.client import HTTPConnection, HTTPException, HTTPSConnection
from typing import Annotated
from urllib.parse import urlsplit

import typer
from pydantic import TypeAdapter, ValidationError

from wetend.cli.desk import opened
from wetend.cli.help_format import command_app, helped
from wetend.cli.options import AsJson
from wetend.cli.output import Sheet, word, write_json
from wetend.errors import BadInput, Refused, StorageFailed
from wetend.keeping import MB, Figures
from wetend.units.message import Message, joined
from wetend.workflows import memory as workflow
from wetend.workflows.memory import MemoryView

app = command_app()
_WAIT = 10.0
"""Seconds a server is waited for."""


@app.command(cls=helped("wetend memory", "wetend memory --json"))
def command(
    ctx: typer.Context,
    at: Annotated[
        str,
        typer.Option("--at", metavar="ADDRESS", help="Ask the server running at this address, such "
                     "as http://127.0.0.1:8000, instead of computing here."),
    ] = "",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Show the caches of a server of this depot, and how well they work."""
    if at:
        seen = _asked(at)
    else:
        with opened(ctx) as desk:
            seen = workflow.of_depot(desk)
    if as_json:
        write_json(seen)
    else:
        _write(Sheet(), seen)


def _asked(address: str) -> MemoryView:
    """The figures of a running server.

    Raises:
        BadInput: no address of a server.
        Refused: it asks for its passcode.
        StorageFailed: it does not answer, or is no server of ours.
    """
    place = urlsplit(address if "://" in address else f"http://{address}")
    try:
        port = place.port
    except ValueError:
        port = 0
    if place.scheme not in ("http", "https") or not place.hostname or port == 0:
        raise BadInput(
            Message(
                "“{address}” is not an address; write http://127.0.0.1:8000.", address=address[:80]
            )
        )
    kind = HTTPSConnection if place.scheme == "https" else HTTPConnection
    connection = kind(place.hostname, port, timeout=_WAIT)
    try:
        connection.request("GET", "/memory.json")
        answer = connection.getresponse()
        status, figures = answer.status, answer.read(MB)
    except (OSError, HTTPException) as error:
        raise StorageFailed(
            Message("No server answers at {address}.", address=address[:80])
        ) from error
    finally:
        connection.close()
    if status in (401, 403):
        raise Refused(
            Message("That server asks for its passcode: open its page /memory in a browser.")
        )
    try:
        return TypeAdapter(MemoryView).validate_json(figures)
    except ValidationError as error:
        raise StorageFailed(
            Message("What answers at {address} is not a wetend server.", address=address[:80])
        ) from error


def _write(sheet: Sheet, seen: MemoryView) -> None:
    sheet.heading(Message("Memory"))
    sheet.line(
        Message(
            "Cached results: {bytes} of at most {most}.", bytes=_mb(seen.bytes), most=_mb(seen.most)
        )
    )
    if seen.resident is not None:
        sheet.line(Message("The whole program: {resident}.", resident=_mb(seen.resident)))
    sheet.table(
        [
            Message("holds"),
            Message("held"),
            "MB",
            Message("at most"),
            Message("from memory"),
            Message("waited"),
            Message("computed"),
            Message("dropped"),
        ],
        _rows([f for f in seen.held if f.entries or f.misses]),
    )
    work = seen.background
    sheet.line(
        Message(
            "In the background: {done} done, {failed} failed.", done=work.done, failed=work.failed
        )
    )
    if work.running:
        sheet.line(Message("  running: {titles}", titles=joined("; ", map(word, work.running))))
    if work.waiting:
        sheet.line(Message("  waiting: {titles}", titles=joined("; ", map(word, work.waiting))))
    for fault in work.faults:
        sheet.line(Message("  went wrong: {fault}", fault=fault))


def _rows(held: Sequence[Figures]) -> list[list[str]]:
    return [
        [word(f.name), f"{f.entries}", f"{f.bytes / MB:.1f}", f"{(f.most or 0) / MB:.0f}",
         f"{f.hits}", f"{f.joined}", f"{f.misses}", f"{f.evictions}"]
        for f in held
    ]  # fmt: skip


def _mb(size: int) -> str:
    return Message("{size:.1f} MB", size=size / MB)
