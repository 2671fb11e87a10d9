"""A depot's own settings, each value with its checksum."""

from __future__ import annotations

from sqlalchemy import Connection, select

from wetend.lazy_import import postgresql, sqlite_dialect
from wetend.records.checksums import checksum
from wetend.records.tables import about

TALLY, PURPOSE, SECRET = "tally", "purpose", "secret"


def value_of(connection: Connection, name: str, *, to_change: bool = False) -> str | None:
    """A value, or ``None`` where it is not kept or is damaged.

    Args:
        connection: within a transaction.
        name: which.
        to_change: whether others must wait until this transaction has changed it.
    """
    query = select(about.c.value, about.c.checksum).where(about.c.name == name)
    found = connection.execute(query.with_for_update() if to_change else query).one_or_none()
    try:
        sound = found is not None and found[1] == checksum([name, found[0]])
    except (TypeError, UnicodeEncodeError):
        sound = False
    return str(found[0]) if found is not None and sound else None


def put(connection: Connection, name: str, value: str, *, replace: bool = True) -> None:
    """Keep a value; over the one kept before unless asked not to."""
    kind = postgresql if connection.dialect.name == "postgresql" else sqlite_dialect
    row = {"name": name, "value": value, "checksum": checksum([name, value])}
    adding = kind.insert(about).values(row)
    if replace:
        connection.execute(adding.on_conflict_do_update(index_elements=[about.c.name], set_=row))
    else:
        connection.execute(adding.on_conflict_do_nothing(index_elements=[about.c.name]))
