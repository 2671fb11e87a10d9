"""Finds the pump or coating a command names, by key or TOML file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path, PurePath

import typer

from wetend.cli.desk import opened
from wetend.cli.read_file import text_of
from wetend.errors import BadInput, NotFound
from wetend.pump.coating import Coating
from wetend.pump.description import Pump
from wetend.pump.toml import (
    DEMO_PUMPS,
    coatings_from_toml,
    demo_coatings,
    demo_pump,
    pump_from_toml,
)
from wetend.units.message import Message
from wetend.units.suggestions import near_or_all
from wetend.workflows.desk import Desk

EXAMPLES = frozenset({*DEMO_PUMPS, *(c.key for c in demo_coatings())})
"""Keys known without a depot."""


def is_file(named: str) -> bool:
    """Whether a file is meant, there or not: it is there, ends in .toml or has a folder in it."""
    path = PurePath(named)
    return path.suffix.lower() == ".toml" or len(path.parts) > 1 or Path(named).is_file()


def needs_depot(named: str) -> bool:
    """Whether only a depot can know what goes by this name."""
    return bool(named) and named not in EXAMPLES and not is_file(named)


@contextmanager
def desk_if_any(ctx: typer.Context, *names: str) -> Iterator[Desk | None]:
    """The depot's desk; ``None`` where there is no depot and all that is named needs none.

    Raises:
        NotFound: there is no depot, and one is needed.
    """
    with ExitStack() as stack:
        try:
            desk = stack.enter_context(opened(ctx))
        except NotFound:
            if any(map(needs_depot, names)):
                raise
            desk = None
        yield desk


def pump_of(desk: Desk | None, named: str) -> Pump:
    """The pump of a file, of the depot, or an example.

    Raises:
        NotFound: there is none of that name.
        BadInput: the file can't be read.
    """
    if is_file(named):
        return pump_from_toml(text_of(Path(named)))
    try:
        if desk is not None:
            return desk.pump(named)
    except NotFound:
        if named not in DEMO_PUMPS:
            raise
    return demo_pump(named)


def coating_of(desk: Desk | None, named: str) -> Coating:
    """The coating of a file, of the depot, or an example.

    Raises:
        NotFound: there is none of that name.
        BadInput: the file can't be read, or holds none or several.
    """
    if not is_file(named):
        known = {c.key: c for c in (*demo_coatings(), *(desk.coatings() if desk else ()))}
        if named not in known:
            raise NotFound(
                Message(
                    "There is no coating “{named}”; {named_2}",
                    named=named[:60],
                    named_2=near_or_all(named, known),
                )
            )
        return known[named]
    rows = coatings_from_toml(text_of(Path(named)))
    if len(rows) != 1:
        raise BadInput(
            Message(
                "“{named}” holds {rows} [[coating]] tables; name a file with one of them.",
                named=named,
                rows=len(rows),
            )
        )
    return rows[0]
