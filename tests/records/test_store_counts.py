"""What tells whether anything was added, on each database."""

from datetime import UTC, datetime

from wetend.pump.readings import Note
from wetend.records.entries import new_entry
from wetend.records.store import Depot


def test_states_and_newer_entries(tmp_path) -> None:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        assert depot.latest(kinds=("note", "usage")) == ""
        assert depot.state(kinds=("note",)) == (0, "")
        made = [new_entry("note", Note(text=str(n)), pump=f"p{n % 2}", at=datetime.now(UTC))
                for n in range(4)]  # fmt: skip
        depot.append(made[0], made[2])
        assert depot.state(kinds=("note",)) == (2, made[2].id)
        assert depot.latest(kinds=("note", "usage")) == made[2].id
        depot.append(made[1], made[3])
        assert [e.id for e in depot.since(made[2].id, kinds=("note",))] == [made[3].id]
        assert depot.state(kinds=("note",))[0] == 4
        assert depot.state(kinds=("usage",)) == (0, "")
        by_pump = dict(depot.by_pump(kinds=("note",)))
        assert {k: len(own) for k, own in by_pump.items()} == {"p0": 2, "p1": 2}
