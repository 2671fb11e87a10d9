"""Open the depot a command works on, and read ``field=value`` arguments."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

import platformdirs
import typer
from pydantic import BaseModel

from wetend.cli.session import Session
from wetend.errors import BadInput
from wetend.records.entries import EntryKind
from wetend.records.fold import Visit
from wetend.records.store import Depot
from wetend.units.fields import fields_of, read
from wetend.units.kinds import System
from wetend.units.show import pretty
from wetend.workflows.desk import Desk
from wetend.workflows.lasting import read_in

NounT = TypeVar("NounT", bound=BaseModel)


def depot_place(session: Session) -> str:
    """Where the depot is: as told, else a file in this person's data folder."""
    if session.where:
        return session.where
    folder = Path(platformdirs.user_data_dir("wetend", appauthor=False))
    folder.mkdir(parents=True, exist_ok=True)
    return str(folder / "depot.sqlite3")


def _judge(desk: Desk, visit: Visit, kind: EntryKind) -> None:
    """What computes all that is shown is read in only where something is kept."""
    read_in("wetend.workflows.judging").judge(desk, visit, kind)


@contextmanager
def opened(ctx: typer.Context) -> Iterator[Desk]:
    """A desk at the depot this command works on; closed afterwards."""
    session: Session = ctx.obj or Session()
    with Depot.open(depot_place(session)) as depot:
        yield Desk(
            depot, who=session.who, place=session.place, device=os.uname().nodename[:80],
            system=session.units.value, judge=_judge,
        )  # fmt: skip


def system_of(ctx: typer.Context) -> System:
    """Units that whoever typed the command reads and writes."""
    session: Session = ctx.obj or Session()
    return session.units.value


def pairs(arguments: Sequence[str]) -> dict[str, str]:
    """``field=value`` arguments as a mapping.

    Raises:
        BadInput: an argument has no ``=``, or a field is given twice.
    """
    typed: dict[str, str] = {}
    for argument in arguments:
        name, sign, value = argument.partition("=")
        if not sign or not name.strip():
            raise BadInput(f"“{argument[:60]}” is not field=value.")
        key = name.strip().replace("-", "_") if "." not in name else name.strip()
        if key in typed:
            raise BadInput(f"The field “{key}” is given twice.")
        typed[key] = value
    return typed


def noun_from(noun: type[NounT], arguments: Sequence[str], system: System = "metric") -> NounT:
    """A noun read from ``field=value`` arguments; bare numbers are in the unit the help shows."""
    return read(noun, pairs(arguments), system=system)


def field_help(noun: type[BaseModel]) -> str:
    """The fields of a noun, a line each, for a command's help."""
    lines = []
    for f in fields_of(noun):
        unit = f", in {pretty(f.unit.metric)}, like {f.unit.kind.example}" if f.unit else ""
        choices = f" ({' | '.join(f.choices)})" if f.choices else ""
        many = ", several with commas" if f.many else ""
        title = f.label if f.label != f.name.replace("_", " ") else f.hint
        lines.append(f"{f.name}=  {title}{choices}{unit}{many}".rstrip())
    return "\n\n".join(lines)
