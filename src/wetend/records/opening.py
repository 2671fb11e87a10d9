"""Open a database for a depot: make it where asked to, and bring it up to date."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, Engine

from wetend.errors import NotFound, StorageFailed
from wetend.records.engine import locate, named, plainly, postgresql, sqlite
from wetend.records.files import OWNER_FILE, make_folder
from wetend.records.schema import is_new, migrate


@dataclass(frozen=True)
class Reached:
    """A database opened."""

    engine: Engine


def reach(url: URL, *, create: bool, purpose: str = "") -> Reached:
    """Open the database at a URL, at the schema this version works with.

    Args:
        url: where it is.
        create: whether to make it where there is none.
        purpose: what one made now is for.

    Raises:
        NotFound: there is none, and none is to be made.
        StorageFailed: it can't be opened, or a later version wrote it.
    """
    if url.get_backend_name() == "sqlite":
        _begin_file(url, create=create)
        engine = sqlite(url)
    else:
        engine = postgresql(url)
    try:
        with plainly(url):
            if not create and is_new(engine):
                raise nothing_at(url)
            migrate(engine, purpose=purpose)
    except BaseException:
        engine.dispose()
        raise
    return Reached(engine)


def there_is(where: str | Path) -> bool:
    """Whether anything is at a place that could be a depot; a PostgreSQL server isn't asked.

    Raises:
        BadInput: ``where`` names no database.
    """
    url = locate(where)
    return url.get_backend_name() != "sqlite" or _has_content(Path(url.database or ""))


def nothing_at(url: URL) -> NotFound:
    """The error where there is no depot and none is to be made."""
    return NotFound(
        f"There is no depot at {named(url)}. If that is the place you mean, "
        "`wetend depot create`, with the same --depot, makes one there."
    )


def _has_content(path: Path) -> bool:
    try:
        return path.exists() and (not path.is_file() or path.stat().st_size > 0)
    except OSError as error:
        raise StorageFailed(f"{path.name[:80]} can't be looked at: {error.strerror}.") from error


def _begin_file(url: URL, *, create: bool) -> None:
    """Make an SQLite file that only its owner may read; its log and index take its mode."""
    path = Path(url.database or "")
    if _has_content(path):
        return
    if not create:
        raise nothing_at(url)
    make_folder(path.parent, private=True)
    try:
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, OWNER_FILE))
    except OSError as error:
        raise StorageFailed(f"{path.name[:80]} can't be made: {error.strerror}.") from error
