"""An import as a whole: kept once however it is sent, taken back by one act, put back."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from wetend.errors import BadInput, NotFound
from wetend.pump.toml import demo_pump
from wetend.pump.usage import Usage
from wetend.records.corrections import standing
from wetend.records.entries import said_by
from wetend.records.store import Depot
from wetend.workflows import imports, life, pumps, record
from wetend.workflows.desk import Desk
from wetend.workflows.history_table import read_history
from wetend.workflows.importing import ImportPlan, Preview, keep, preview, suggest

ROWS = 200


def table(rows: int = ROWS) -> bytes:
    lines = [f"quay-air,{2000 + n // 300}-{1 + n // 28 % 12:02d}-{1 + n % 28:02d},{n + 1}" for n in
             range(rows)]  # fmt: skip
    return "\n".join(["pump,day,cycles", *lines]).encode()


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "depot.sqlite3") as depot:
        desk = Desk(depot, who="Ann")
        pumps.describe(desk, demo_pump("quay-air"))
        yield desk


def look(desk: Desk, data: bytes | None = None) -> Preview:
    history = read_history(data or table(), "uses.csv")
    return preview(desk, history, ImportPlan(suggest(history.columns)))


def uses(desk: Desk) -> int:
    """Uses that count."""
    stands = standing(desk.depot.entries(pump="quay-air"))
    return sum(isinstance(s.noun, Usage) for s in stands)


def test_two_that_looked_before_either_kept_keep_once(desk: Desk) -> None:
    one, other = look(desk), look(desk)
    assert keep(desk, one) == ROWS
    assert keep(desk, other) == 0
    assert uses(desk) == ROWS
    assert len(imports.listed(desk)) == 1


def test_sent_from_two_places_at_once_it_is_kept_once(desk: Desk, tmp_path: Path) -> None:
    """200 rows sent twice at once kept 400."""
    counts: list[int] = []
    ready = threading.Barrier(2)

    def bring_in() -> None:
        with Depot.open(tmp_path / "depot.sqlite3") as own:
            mine = Desk(own, who="Ben")
            seen = look(mine)
            ready.wait()
            counts.append(keep(mine, seen))

    both = [threading.Thread(target=bring_in) for _ in range(2)]
    for each in both:
        each.start()
    for each in both:
        each.join()
    assert sorted(counts) == [0, ROWS]
    assert uses(desk) == ROWS


def test_one_act_takes_all_rows_back_and_one_puts_them_back(desk: Desk) -> None:
    by_hand = life.save_usage(desk, "quay-air", Usage(
        first="2025-05-01", last="2025-05-02", cycles=5.0))  # fmt: skip
    keep(desk, look(desk))
    whole = imports.find(desk, "last")
    assert (whole.said.file, whole.said.rows, whole.said.uses) == ("uses.csv", ROWS, ROWS)
    assert imports.withdraw(desk, whole.entry.id, "wrong pump") == ROWS
    assert uses(desk) == 1
    assert imports.listed(desk)[0].withdrawn
    lines = {x.entry.id: x for x in record.of_pump(desk, "quay-air").lines}
    assert not lines.pop(by_hand.id).withdrawn
    assert {(x.withdrawn, x.why) for x in lines.values() if x.entry.kind == "usage"} == {
        (True, "wrong pump")
    }
    assert imports.put_back(desk, whole.entry.id) == ROWS
    assert uses(desk) == ROWS + 1
    assert not imports.listed(desk)[0].withdrawn


def test_twice_is_once(desk: Desk) -> None:
    keep(desk, look(desk))
    whole = imports.listed(desk)[0].entry.id
    imports.withdraw(desk, whole)
    count = len(desk.depot.entries())
    assert imports.withdraw(desk, whole) == 0
    assert len(desk.depot.entries()) == count
    imports.put_back(desk, whole)
    count = len(desk.depot.entries())
    assert imports.put_back(desk, whole) == 0
    assert len(desk.depot.entries()) == count


def test_a_row_taken_back_before_stays_so(desk: Desk) -> None:
    keep(desk, look(desk))
    whole = imports.listed(desk)[0].entry.id
    slip = desk.depot.entries(kinds=("usage",))[7]
    record.withdraw(desk, slip.id, "typed twice")
    assert imports.withdraw(desk, whole) == ROWS - 1
    assert imports.put_back(desk, whole) == ROWS - 1
    assert uses(desk) == ROWS - 1


def test_what_was_taken_back_may_be_brought_in_again_and_never_counts_twice(desk: Desk) -> None:
    keep(desk, look(desk))
    first = imports.listed(desk)[0].entry.id
    imports.withdraw(desk, first)
    again = look(desk)
    assert (len(again.facts), again.there) == (ROWS, 0)
    assert keep(desk, again) == ROWS
    with pytest.raises(BadInput, match="count twice"):
        imports.put_back(desk, first)
    assert uses(desk) == ROWS
    imports.withdraw(desk, imports.listed(desk)[0].entry.id)
    assert imports.put_back(desk, first) == ROWS
    assert uses(desk) == ROWS


def test_an_import_is_named_by_its_last_letters(desk: Desk) -> None:
    with pytest.raises(NotFound):
        imports.find(desk, "last")
    keep(desk, look(desk, table(2)))
    whole = imports.listed(desk)[0].entry.id
    assert imports.find(desk, whole[-6:].upper()).entry.id == whole
    for letters in ("", whole[-3:], "zzzzzz"):
        with pytest.raises(NotFound, match="No single import"):
            imports.find(desk, letters)


def test_nobody_puts_a_use_under_an_import_by_hand(desk: Desk) -> None:
    keep(desk, look(desk, table(1)))
    whole = imports.listed(desk)[0].entry.id
    forged = Usage(first="2025-05-01", last="2025-05-02", cycles=5.0, brought_in=whole)
    kept = said_by(life.save_usage(desk, "quay-air", forged))
    assert isinstance(kept, Usage)
    assert kept.brought_in == ""
