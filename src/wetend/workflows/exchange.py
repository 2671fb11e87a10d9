"""Exchange with another depot, wherever it is: a stick, a file, a database or a server."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from wetend.errors import BadInput, NotFound
from wetend.progress import Progress
from wetend.records.exchange.network import NetworkSide, is_address
from wetend.records.exchange.sides import DepotSide, Side
from wetend.records.exchange.union import Exchanged, exchange
from wetend.records.files import path_given
from wetend.records.store import Depot
from wetend.units.message import Message
from wetend.workflows.desk import Desk

ON_A_STICK = "wetend.sqlite3"
"""The depot in a folder that is exchanged through, such as a stick's."""


def with_other(
    desk: Desk, other: str, *, token: str = "", authority: Path | None = None,
    create: bool = False, progress: Progress | None = None,
) -> Exchanged:  # fmt: skip
    """Give each of two depots what it lacks of the other.

    Args:
        desk: at the depot at hand.
        other: a folder, an SQLite file, a ``postgresql://`` URL, or a server's ``https://``.
        token: for a server: as it made it for this device.
        authority: for a server: certificates to trust beside the system's.
        create: whether to make the other where it is a file that is not there yet.
        progress: told how many pieces of how many are done.

    Raises:
        NotFound: there is nothing at that place.
        BadInput: the place or the token can't be one, or it is this very depot.
        Refused: the server does not know the token, or one of the two is a demo depot.
        StorageFailed: a disk, a server or the network failed; what went over until then stays.
    """
    with _side(desk, other, token, authority, create=create) as there:
        return exchange(DepotSide(desk.depot), there, progress)


@contextmanager
def _side(
    desk: Desk, other: str, token: str, authority: Path | None, *, create: bool
) -> Iterator[Side]:
    if is_address(other):
        with NetworkSide(other, token, authority=authority) as side:
            yield side
        return
    place: str | Path = other
    if "://" not in other:
        place = path_given(other)
        if place.is_dir():
            place, create = place / ON_A_STICK, True
        elif not place.exists() and not create:
            raise NotFound(
                Message("There is no depot at {name}; --create makes one.", name=place.name)
            )
    with Depot.open(place, create=create) as depot:
        if depot.url == desk.depot.url or _same_file(depot, desk.depot):
            raise BadInput(Message("That is this very depot; name another."))
        yield DepotSide(depot)


def _same_file(one: Depot, other: Depot) -> bool:
    return bool(one.file and other.file and one.file.samefile(other.file))
