"""Each entry carries its checksum, a depot the tally of them; earlier depots are given both."""

from __future__ import annotations

from pathlib import Path

import pytest
from alembic import command
from sqlalchemy import insert, select, text

from wetend.pump.readings import Note
from wetend.records import engine, settings
from wetend.records.checksums import Tally
from wetend.records.entries import Entry, new_entry
from wetend.records.migrating import migrations
from wetend.records.rows import NAMES, checksum_of
from wetend.records.store import Depot
from wetend.records.tables import entries as table


def note(said: str = "hello", **other: str) -> Entry:
    return new_entry("note", Note(text=said), pump="p", **other)


def checksums(depot: Depot) -> dict[str, str]:
    with depot._engine.connect() as connection:
        return dict(connection.execute(select(table.c.id, table.c.checksum)).all())


def tally(depot: Depot) -> Tally | None:
    with depot._engine.connect() as connection:
        return Tally.read(settings.value_of(connection, settings.TALLY))


def reckoned(depot: Depot) -> Tally:
    return Tally().with_more(checksum_of(entry) for entry in depot.entries())


def test_each_entry_kept_has_its_checksum_and_is_counted(depot: Depot) -> None:
    made = [note(str(n)) for n in range(3)]
    depot.append(*made)
    depot.append(made[0], note("漏れる 🛠", who="Å"))
    depot.merge([made[1].model_copy(update={"id": note().id, "kind": "hologram"})])
    assert checksums(depot) == {e.id: checksum_of(e) for e in depot.entries()}
    assert tally(depot) == reckoned(depot)
    assert tally(depot).count == 5


@pytest.mark.parametrize("column", [name for name in NAMES if name != "id"])
def test_a_change_to_any_column_is_seen(depot: Depot, column: str) -> None:
    made = note(who="A", place="B", device="C", visit=note().id, corrects=note().id)
    depot.append(made)
    spoilt = {
        "kind": "'seat'", "pump": "'q'", "visit": "null", "corrects": "null",
        "at": "'2031-05-04 00:00:00'", "payload": "'{\"text\":\"hullo\"}'",
    }.get(column, "'A '")  # fmt: skip
    with depot._writer.begin() as connection:
        connection.execute(text(f'update entries set "{column}" = {spoilt}'))
    assert depot.entries() == []
    assert [each.id for each in depot.damaged] == [made.id]


def earlier(where: str, entries: list[Entry]) -> None:
    """A depot as the first schema kept it."""
    url = engine.locate(where)
    if url.get_backend_name() == "sqlite":
        Path(where).touch()
        reached = engine.sqlite(url)
    else:
        reached = engine.postgresql(url)
    with reached.execution_options(writes=True).begin() as connection:
        command.upgrade(migrations(connection), "0001")
        columns = [table.c[name] for name in NAMES]
        rows = [{name: getattr(e, name) for name in NAMES} for e in entries]
        for row in rows:
            connection.execute(insert(table).values({c: row[c.name] for c in columns}))
    reached.dispose()


@pytest.mark.parametrize("count", [0, 1, 1203])
def test_an_earlier_depot_is_given_checksums(depot_place: str, count: int) -> None:
    made = [note(f"{n} stößt 🛠") for n in range(count)]
    earlier(depot_place, made)
    with Depot.open(depot_place) as depot:
        assert depot.entries() == made
        assert depot.damaged == ()
        assert tally(depot) == Tally().with_more(map(checksum_of, made))
        depot.append(more := note("more"))
        assert depot.entries() == [*made, more]


def test_a_value_about_the_depot_is_not_taken_where_it_is_damaged(depot: Depot) -> None:
    first = depot.secret()
    assert depot.secret() == first
    depot.call_demo()
    with depot._writer.begin() as connection:
        connection.execute(text("update about set value = value || 'x'"))
    assert depot.purpose == ""
    assert len(depot.secret()) == 32
    assert depot.secret() != first
    depot.append(note())  # though the tally can't be kept


def test_a_restored_entry_takes_the_place_of_a_damaged_one(depot: Depot) -> None:
    made, other = note("made"), note("other")
    depot.append(made, other)
    with depot._writer.begin() as connection:
        connection.execute(text("update entries set payload = '{}' where id = :i"), {"i": made.id})
    assert depot.entries() == [other]
    assert depot.merge_and_mend([made, other]) == (0, 1)
    assert depot.entries() == [made, other]
    assert depot.damaged == ()
    assert tally(depot) == reckoned(depot)
