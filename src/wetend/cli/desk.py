"""Opens the depot of a command, and parses ``field=value`` arguments."""

from __future__ import annotations

import platform
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

import platformdirs
import typer
from pydantic import BaseModel

from wetend.cli.arguments import pairs
from wetend.cli.session import Session
from wetend.errors import NotFound, WetendError
from wetend.records.engine import named
from wetend.records.entries import EntryKind
from wetend.records.fold import Visit
from wetend.records.opening import there_is
from wetend.records.store import Depot
from wetend.telling.languages import spoken
from wetend.units.fields import read
from wetend.units.kinds import System
from wetend.units.message import Message
from wetend.workflows.desk import Desk
from wetend.workflows.gc_freeze import read_in

NounT = TypeVar("NounT", bound=BaseModel)


def data_folder() -> Path:
    """This person's folder for depots that are given no other place."""
    return Path(platformdirs.user_data_dir("wetend", appauthor=False))


def depot_place(session: Session) -> str:
    """Where the depot is: as given, else a file in this person's data folder."""
    return session.where or str(data_folder() / "depot.sqlite3")


def open_depot(session: Session, *, begins: bool = False, create: bool = False) -> Depot:
    """The depot at its place. One named by hand is never made unasked: it may be mistyped.

    Args:
        session: the options before the command's name.
        begins: whether this act may be a person's first, so that the depot in their own data
            folder is made for it, with a line that says so.
        create: whether to make one wherever it was named.

    Raises:
        NotFound: there is none, and none is to be made.
        StorageFailed: it can't be opened.
    """
    place = depot_place(session)
    create = create or (begins and not session.where)
    new = create and not is_depot(place)
    if not create and not session.where and not there_is(place):
        raise NotFound(
            Message(
                "You have no depot yet. `wetend depot create` makes one, and so does "
                "describing a pump (`wetend pump describe`); or name another with --depot."
            )
        )
    depot = Depot.open(place, create=create)
    if new:
        typer.echo(Message("Made a depot: {url}", url=named(depot.url)), err=True)
    for sentence in depot.remarks:
        typer.echo(Message("wetend: {sentence}", sentence=sentence), err=True)
    return depot


def is_depot(place: str) -> bool:
    """Whether there is a depot at a place.

    Raises:
        StorageFailed: what is there can't be opened as one.
    """
    try:
        Depot.open(place, create=False).close()
    except NotFound:
        return False
    return True


def _judge(desk: Desk, visit: Visit, kind: EntryKind) -> None:
    """What computes all that is shown is read in only where something is kept."""
    read_in("wetend.workflows.validation").judge(desk, visit, kind)


@contextmanager
def _noticed(depot: Depot) -> Iterator[None]:
    """Say at the end what was found wrong with the depot meanwhile, but not what it ends with."""
    fault = ""
    try:
        yield
    except WetendError as error:
        fault = str(error)
        raise
    finally:
        for sentence in depot.notices:
            if sentence != fault:
                typer.echo(Message("wetend: {sentence}", sentence=sentence), err=True)


@contextmanager
def opened(ctx: typer.Context, *, begins: bool = False) -> Iterator[Desk]:
    """A desk at the depot this command works on; closed afterwards.

    ``begins``: whether the command may be a person's first, as for :func:`open_depot`.
    """
    session: Session = ctx.obj or Session()
    with open_depot(session, begins=begins) as depot, _noticed(depot):
        yield Desk(
            depot, who=session.who, place=session.place, device=platform.node()[:80],
            system=session.units.value, language=spoken(), judge=_judge,
        )  # fmt: skip


def system_of(ctx: typer.Context) -> System:
    """Units that whoever typed the command reads and writes."""
    session: Session = ctx.obj or Session()
    return session.units.value


def noun_from(noun: type[NounT], arguments: Sequence[str], system: System = "metric") -> NounT:
    """A noun read from ``field=value`` arguments; bare numbers are in the unit the help shows."""
    return read(noun, pairs(arguments), system=system)
