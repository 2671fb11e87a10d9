"""A damaged entry is moved out of the record whole, and nothing of it is lost."""

from __future__ import annotations

import json

from sqlalchemy import select, text

from wetend.pump.readings import Note
from wetend.records import settings
from wetend.records.checksums import Tally
from wetend.records.entries import new_entry
from wetend.records.quarantine import set_aside
from wetend.records.rows import NAMES, checksum_of
from wetend.records.store import Depot
from wetend.records.tables import about


def test_what_is_left_of_a_damaged_entry_is_kept_word_for_word_and_counted_no_more(
    depot: Depot,
) -> None:
    """Blank fields stay blank: an entry without a visit must not come back with one."""
    made = [new_entry("note", Note(text=f"note {n}"), pump="p", who="A. Tester") for n in range(3)]
    depot.append(*made)
    with depot._writer.begin() as connection:
        connection.execute(text("update entries set who = 'B' where id = :id"), {"id": made[1].id})
    assert len(depot.entries()) == 2
    set_aside(depot)
    with depot._engine.connect() as connection:
        kept = dict(connection.execute(select(about.c.name, about.c.value)).all())
        counted = Tally.read(settings.value_of(connection, settings.TALLY))
    aside = json.loads(kept[f"aside-{made[1].id}"[:40]])
    said = dict(zip(NAMES, aside, strict=False))
    assert (said["id"], said["who"], said["visit"]) == (made[1].id, "B", None)
    assert "note 1" in said["payload"]
    assert [entry.id for entry in depot.entries()] == [made[0].id, made[2].id]
    assert counted == Tally().with_more(checksum_of(each) for each in depot.entries())
