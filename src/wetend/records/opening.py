"""Opens a depot's database: created on request, migrated, checked for damage."""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import dataclass, field, replace
from pathlib import Path

from sqlalchemy import URL, Engine

from wetend.errors import BadInput, NotFound, StorageFailed, why_not
from wetend.records.engine import (
    DepotDamaged,
    locate,
    named,
    plainly,
    postgresql,
    sqlite,
    without_indexes,
)
from wetend.records.files import OWNER_FILE, make_folder, name_file, sync_folder, taken
from wetend.records.integrity import (
    State,
    index_of,
    log_of,
    look,
    look_at_copy,
    put_damaged_log_aside,
)
from wetend.records.new_database import filling, finish, under_way
from wetend.records.recovery import Rescued, in_memory, rescue
from wetend.records.schema import LaterVersion, is_head, is_new, migrate
from wetend.units.message import Message

_DAMAGED = Message(
    "This depot's file is damaged, so nothing is written to it until `wetend "
    "doctor --mend` has repaired it."
)


@dataclass(frozen=True)
class Reached:
    """A database opened."""

    engine: Engine
    closed_to_writing: str = ""
    """Why nothing can be written, as a sentence; blank where it can."""
    read_only: bool = False
    """Whether that is because the file or its folder may not be written."""
    indexed: bool = True
    """Whether its indexes lead to every entry."""
    rescued: Rescued | None = field(default=None, compare=False)
    """What was read around damage, where the engine is on a copy of that."""
    cut_off: bool = False
    """Whether its log ended with a write cut off half-way, that was never confirmed."""


def reach(url: URL, *, create: bool, purpose: str = "") -> Reached:
    """Open the database at a URL, at the schema this version works with.

    An SQLite file that is damaged is read all the same, from a copy in memory of what is sound; one
    that may only be read is read.

    Args:
        url: where it is.
        create: whether to make it where there is none.
        purpose: what one made now is for.

    Raises:
        NotFound: there is none, and none is to be made.
        StorageFailed: it is a folder, can't be opened, or a later version wrote it.
    """
    if url.get_backend_name() != "sqlite":
        engine = postgresql(url)
        _up_to_date(url, engine, create=create, purpose=purpose)
        return Reached(engine)
    path = Path(url.database or "")
    if path.is_dir():
        raise StorageFailed(
            Message("“{url}” is a folder; name the depot's file in it.", url=named(url))
        )
    _begin_file(url, path, create=create, purpose=purpose)
    cut_off = put_damaged_log_aside(path)
    try:
        found = _read_only(url, path) if _closed(path) else _sqlite(url, path, create, purpose)
    except DepotDamaged as why:
        found = around_damage(url, path, why)
    return replace(found, cut_off=cut_off)


def _sqlite(url: URL, path: Path, create: bool, purpose: str) -> Reached:
    engine = sqlite(url)
    try:
        with plainly(url):
            state = look(engine, path)
            late = state is State.INDEXES and not is_head(engine)  # not to be mended by migrating
    except BaseException:
        engine.dispose()
        raise
    if state is State.BROKEN or late:
        engine.dispose()
        raise DepotDamaged(
            Message("The record {url} is damaged; restore the last backup.", url=named(url))
        )
    _up_to_date(url, engine, create=create, purpose=purpose)
    if state is State.INDEXES:
        without_indexes(engine)
    return Reached(engine, indexed=state is State.SOUND)


def _up_to_date(url: URL, engine: Engine, *, create: bool, purpose: str) -> None:
    try:
        with plainly(url):
            if not create and is_new(engine):
                raise nothing_at(url)
            migrate(engine, purpose=purpose)
    except BaseException:
        engine.dispose()
        raise


def _read_only(url: URL, path: Path) -> Reached:
    """A file that may not be written. SQLite can't read it beside an open log, or at all without
    the log's index: then what the pages hold is read.
    """
    why = Message(
        "The record {url} may not be written: the file or its folder is read-only.", url=named(url)
    )
    engine, state, at_head = sqlite(url, read_only=True), None, False
    try:
        with plainly(url):
            state = look(engine, path)
            at_head = is_head(engine)
        if state is State.SOUND and at_head:
            return Reached(engine, closed_to_writing=why, read_only=True)
    except LaterVersion:
        raise
    except StorageFailed:
        pass  # read around, below
    finally:
        if not (state is State.SOUND and at_head):
            engine.dispose()
    found = _rescued(url, path)
    if not (found.rows or found.about or found.ours):
        raise StorageFailed(
            Message("The record {url} is not a record of this program.", url=named(url))
        )
    if found.missing is None and (state or look_at_copy(path)) is State.SOUND:
        found = replace(found, missing=0)  # of an earlier version, which kept no count
    return Reached(in_memory(found), closed_to_writing=why, read_only=True, rescued=found)


def around_damage(url: URL, path: Path, why: DepotDamaged) -> Reached:
    """What can be read of a damaged file.

    Raises:
        DepotDamaged: ``why`` itself, where there is nothing of ours in the file.
    """
    found = _rescued(url, path)
    spurious = "disk reports an error" in str(why) and not found.unreadable
    if spurious or not (found.rows or found.about):
        raise why
    return Reached(in_memory(found), closed_to_writing=_DAMAGED, rescued=found)


def _rescued(url: URL, path: Path) -> Rescued:
    try:
        return rescue(path)
    except OSError as error:
        raise StorageFailed(
            Message(
                "The record {url} can't be read: {error}.", url=named(url), error=why_not(error)
            )
        ) from error


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
        Message(
            "There is no depot at {url}. If the place is right, `wetend depot create` "
            "with the same --depot makes one there.",
            url=named(url),
        )
    )


def _has_content(path: Path) -> bool:
    try:
        return path.exists() and (not path.is_file() or path.stat().st_size > 0)
    except OSError as error:
        raise StorageFailed(
            Message(
                "{name} can't be looked at: {error}.", name=path.name[:80], error=why_not(error)
            )
        ) from error


def _begin_file(url: URL, path: Path, *, create: bool, purpose: str) -> None:
    """Make an SQLite file that only its owner may read; its log and index take its mode.

    It takes its name whole, unless an empty file has that name already: that is filled in place.
    """
    if _has_content(path):
        return
    if not create:
        raise nothing_at(url)
    make_folder(path.parent, private=True)
    try:
        if taken(path):
            os.close(os.open(path, os.O_RDWR | os.O_CREAT, OWNER_FILE))
            return
        with under_way(path.parent) as part:
            with filling(part, url) as engine:
                migrate(engine, purpose=purpose)
            finish(part, url)
            with suppress(BadInput):  # another was quicker; its file is opened
                name_file(part, path, replace=False)
            sync_folder(path.parent)
    except OSError as error:
        raise StorageFailed(
            Message("{name} can't be made: {error}.", name=path.name[:80], error=why_not(error))
        ) from error


def _closed(path: Path) -> bool:
    """Whether an SQLite file may not be written: it, or the folder its log is to be made in."""
    if not _writable(path):
        return True
    beside = (log_of(path), index_of(path))
    return not (_writable(path.parent) or all(map(_writable, beside)))


def _writable(path: Path) -> bool:
    return os.access(path, os.W_OK, effective_ids=os.access in os.supports_effective_ids)
