"""Shared steps of the stage commands: read fields, save an entry, show the stage."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar

import typer
from pydantic import BaseModel

from wetend.cli.desk import noun_from, opened
from wetend.cli.output import Sheet, plain, write_json
from wetend.errors import NotSafe
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.workflows import visits
from wetend.workflows.desk import Desk
from wetend.workflows.job import Job, job_of

NounT = TypeVar("NounT", bound=BaseModel)
ViewT = TypeVar("ViewT")


@contextmanager
def naming_the_list(name: str) -> Iterator[None]:
    """Name the command that proves zero in what is said where zero does not stand.

    Raises:
        NotSafe: as raised inside, the command named.
    """
    try:
        yield
    except NotSafe as bad:
        raise NotSafe(
            Message("{bad} The command: wetend make-safe {name}", bad=bad, name=name)
        ) from bad


def save_and_show(
    ctx: typer.Context,
    name: str,
    *,
    keep: Callable[[Desk, str], Any] | None,
    view: Callable[[Desk, str], ViewT],
    write: Callable[[Sheet, ViewT], None],
    as_json: bool,
    stage: str = "",
) -> None:
    """Save an entry if there is one to keep, then show the stage as it stands.

    A sentence that ``keep`` answers with is said before the stage.
    """
    with opened(ctx) as desk:
        visit_id = visits.find(desk, name)
        said = keep(desk, visit_id) if keep is not None else None
        seen = view(desk, visit_id)
        visit = desk.visit(visit_id)
        job = job_of(visit, stage)
        if as_json:
            write_json({"job": job, **plain(seen)})
            return
        sheet = Sheet(desk.system)
        write_job(sheet, job)
        write_left_out(sheet, visit)
        if isinstance(said, str) and said:
            sheet.line(said)
        write(sheet, seen)


def write_left_out(sheet: Sheet, visit: Visit) -> None:
    """Entries that count for nothing, each with why, and how to take them back."""
    for each in visit.unfit:
        letters = each.entry.id[-6:]
        sheet.line(
            Message("Left out of this visit, entry {letters}: {why}", letters=letters, why=each.why)
        )
        sheet.line(
            Message(
                "  Withdraw it: wetend visit withdraw {id} {letters}",
                id=visit.id[-6:],
                letters=letters,
            )
        )


def write_job(sheet: Sheet, job: Job) -> None:
    """What stands before everything else of a visit: whom to ring, and the cautions of the job."""
    if job.site.emergency_phone:
        sheet.line(
            Message(
                "In an emergency ring {emergency_phone}.", emergency_phone=job.site.emergency_phone
            )
        )
    sheet.head(job.cautions)
    if job.guesses:
        sheet.line(job.guesses)


def keeper(
    noun: type[NounT], given: Sequence[str] | None, save: Callable[[Desk, str, NounT], Any]
) -> Callable[[Desk, str], Any] | None:
    """How to keep what was given; ``None`` when nothing was."""
    if not given:
        return None

    def keep(desk: Desk, visit_id: str) -> object:
        return save(desk, visit_id, noun_from(noun, given, desk.system))

    return keep
