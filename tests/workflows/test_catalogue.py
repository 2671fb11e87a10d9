"""The owner's catalogue: kept once, renumbered, taken out, counted, brought in and taken out."""

from __future__ import annotations

import csv
import io
import tomllib
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from wetend.errors import BadInput, NotFound, TooLarge, WetendError
from wetend.pump.catalogue import KEPT_UNDER, CatalogueItem, StockCounted
from wetend.pump.readings import VisitStart
from wetend.pump.toml import demo_pump
from wetend.pump.usage import PartFitted
from wetend.records.entries import Entry, new_entry
from wetend.records.store import Depot
from wetend.workflows import catalogue, catalogue_files, fitted, life, pumps, visits
from wetend.workflows.desk import Desk
from wetend.workflows.fitted import Answer

AIR, HYDRAULIC = demo_pump("quay-air"), demo_pump("yard-hydraulic")


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Desk]:
    with Depot.open(tmp_path / "d.sqlite3") as depot:
        desk = Desk(depot, who="A. Tester")
        for pump in (AIR, HYDRAULIC):
            pumps.describe(desk, pump)
        yield desk


def item(number: str = "B-1", *parts: str, **more) -> CatalogueItem:
    return CatalogueItem.model_validate(
        {"number": number, "name": "Ball", "parts": parts or ("foot-ball",),
         "pumps": (AIR.key,), "price": 12.5, **more}
    )  # fmt: skip


def entries(desk: Desk) -> list[Entry]:
    return list(desk.depot.entries(pump=KEPT_UNDER))


def numbers(desk: Desk) -> list[str]:
    return [s.item.number for s in catalogue.items_of(desk)]


def test_the_same_item_again_adds_nothing_and_a_change_counts(desk: Desk) -> None:
    catalogue.save(desk, item())
    catalogue.save(desk, item())
    assert len(entries(desk)) == 1
    catalogue.save(desk, item(price=14.0))
    assert [s.item.price for s in catalogue.items_of(desk)] == [14.0]


def test_numbers_that_differ_by_case_and_blanks_are_one(desk: Desk) -> None:
    catalogue.save(desk, item("B-1"))
    catalogue.save(desk, item("b -1", price=1.0))
    assert [(s.item.number, s.item.price) for s in catalogue.items_of(desk)] == [("b -1", 1.0)]


def test_an_item_renumbered_keeps_its_count_and_takes_nobodys_number(desk: Desk) -> None:
    catalogue.save(desk, item("B-1"))
    catalogue.save(desk, item("B-2", name="Another"))
    catalogue.count(desk, StockCounted(number="B-1", shelf=4))
    with pytest.raises(BadInput, match="taken by Another"):
        catalogue.save(desk, item("B-2"), was="B-1")
    catalogue.save(desk, item("B-9"), was="B-1")
    assert sorted(numbers(desk)) == ["B-2", "B-9"]
    assert catalogue.find(desk, "B-9").shelf == 4


def test_taken_out_it_stays_out_under_every_number_it_had(desk: Desk) -> None:
    catalogue.save(desk, item("B-1"))
    catalogue.save(desk, item("B-9"), was="B-1")
    catalogue.drop(desk, "B-9")
    assert numbers(desk) == []
    with pytest.raises(NotFound):
        catalogue.drop(desk, "B-9")
    catalogue.save(desk, item("B-9"))  # and put in again it is there, not counted
    assert catalogue.find(desk, "B-9").counted is None


def test_two_devices_merged_say_the_latest(desk: Desk) -> None:
    mine = new_entry("catalogue-item", item(price=1.0), pump=KEPT_UNDER)
    theirs = new_entry("catalogue-item", item(price=2.0), pump=KEPT_UNDER)
    desk.depot.append(theirs, mine)
    assert [s.item.price for s in catalogue.items_of(desk)] == [2.0]
    catalogue.drop(desk, "B-1")
    assert numbers(desk) == []


def test_pumps_that_take_different_sizes_are_refused(desk: Desk) -> None:
    with pytest.raises(BadInput, match="one item can't fit both"):
        catalogue.save(desk, item(pumps=(AIR.key, HYDRAULIC.key)))
    with pytest.raises(BadInput, match="describe it first"):
        catalogue.save(desk, item(pumps=("nowhere",)))
    with pytest.raises(NotFound):
        catalogue.count(desk, StockCounted(number="B-1", shelf=1))
    assert not entries(desk)


def there(desk: Desk) -> int:
    shelf = catalogue.shelf_of(desk, {p.key: p for p in (AIR, HYDRAULIC)})
    return shelf.there(shelf.of(AIR, "foot-ball"), "foot-ball", (AIR.key,)).both


def test_of_several_items_the_bad_ones_are_named_by_their_row(desk: Desk) -> None:
    """Counted from 1, as people count rows."""
    rows = [catalogue.Row(item(f"B-{n}"), None) for n in range(4)]
    for place in (1, 3):
        rows[place] = catalogue.Row(item(f"B-{place}", pumps=("no-such-pump",)), None)
    with pytest.raises(BadInput) as refused:
        catalogue.keep(desk, rows)
    assert [problem.field for problem in refused.value.problems] == ["2", "4"]
    assert numbers(desk) == []


def test_what_is_fitted_is_taken_off_the_count_by_itself(desk: Desk) -> None:
    visit = visits.start(desk, VisitStart(pump=AIR.key))
    catalogue.save(desk, item())
    fitted.save(desk, visit, {"foot-ball": Answer("new", "worn out")})  # before the count
    catalogue.count(desk, StockCounted(number="B-1", shelf=2, van=1))
    assert there(desk) == 3
    other = visits.start(desk, VisitStart(pump=AIR.key))
    fitted.save(desk, other, {"foot-ball": Answer("new", "damaged"), "rod": Answer("put back")})
    assert there(desk) == 2
    fitted.save(desk, other, {"foot-ball": Answer("put back")})  # said otherwise: back again
    assert there(desk) == 3
    late = datetime.now(UTC).date() - timedelta(days=9)
    life.save_fitted(desk, AIR.key, PartFitted(part="foot-ball", on=late))  # long before
    assert there(desk) == 3
    life.save_fitted(desk, AIR.key, PartFitted(part="foot-ball"))
    assert there(desk) == 2
    catalogue.count(desk, StockCounted(number="B-1", shelf=2, van=0))  # counted anew
    assert there(desk) == 2


def stocked(desk: Desk) -> None:
    catalogue.save(desk, item("=B-1", supplier="Harbour; Sons", lead=21 * 86400.0, pack=2,
                              note="ask for 440C"))  # fmt: skip
    parts = ("moving-packings", "static-packings", "soft-rings")
    catalogue.save(desk, item("K-1", *parts, name="Kit", price=None))
    catalogue.count(desk, StockCounted(number="=B-1", shelf=3, van=1))


@pytest.mark.parametrize("as_toml", [False, True])
def test_out_and_in_again_is_the_same_and_adds_nothing(
    desk: Desk, tmp_path: Path, as_toml: bool
) -> None:
    stocked(desk)
    before, held = entries(desk), catalogue.items_of(desk)
    text = catalogue_files.take_out(desk, as_toml=as_toml)
    assert catalogue_files.bring_in(desk, text.encode()) == (2, 0)
    assert entries(desk) == before
    with Depot.open(tmp_path / "fresh.sqlite3") as depot:
        fresh = Desk(depot)
        pumps.describe(fresh, AIR)
        assert catalogue_files.bring_in(fresh, text.encode())[0] == 2
        again = catalogue.items_of(fresh)
    assert [s.item for s in again] == [s.item for s in held]
    assert [(s.shelf, s.van) for s in again] == [(s.shelf, s.van) for s in held]


def test_a_spreadsheet_can_not_be_made_to_run_a_number(desk: Desk) -> None:
    stocked(desk)
    rows = list(csv.DictReader(io.StringIO(catalogue_files.take_out(desk, as_toml=False))))
    assert {row["number"] for row in rows} == {"'=B-1", "K-1"}
    told = tomllib.loads(catalogue_files.take_out(desk, as_toml=True))["item"]
    assert {row["number"] for row in told} == {"=B-1", "K-1"}


TABLE = (
    "Number;Name;Parts;Pumps;Price;Lead days;Shelf\r\n"
    f"B-1;Ball;foot-valve ball;{AIR.name};12,50;21;3\r\n"
    f"K-1;Kit;moving packings, soft rings;{AIR.key};;;\r\n"
)


def test_a_table_as_people_write_it(desk: Desk) -> None:
    assert catalogue_files.bring_in(desk, TABLE.encode("cp1252")) == (2, 3)
    ball = catalogue.find(desk, "B-1")
    assert (ball.item.price, ball.item.lead, ball.shelf) == (12.5, 21 * 86400.0, 3)
    assert catalogue.find(desk, "K-1").item.parts == ("moving-packings", "soft-rings")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("foot-valve ball", "flux box", "Item 1: “flux box” is not a part"),
        (AIR.name, "Nowhere", "Item 1"),
        ("12,50", "dear", "Item 1"),
        (";21;", ";soon;", "lead_days: “soon”"),
        ("Number", "Code", "needs the columns"),
        ("Shelf", "Drawer", "There is no field “drawer”"),
        (";3\r\n", ";many\r\n", "Item 1"),
    ],
)
def test_one_bad_item_keeps_the_whole_file_out(desk: Desk, old: str, new: str, told: str) -> None:
    with pytest.raises(WetendError) as caught:
        catalogue_files.bring_in(desk, TABLE.replace(old, new, 1).encode())
    assert told in str(caught.value)
    assert not entries(desk)


@pytest.mark.parametrize(
    "data", [b"", b"[[item]]\nnumber = 1\n", b"[[item]", b"[[item]]\nnumber = \x00", b"[[item]]"]
)
def test_a_file_that_is_none_says_so(desk: Desk, data: bytes) -> None:
    with pytest.raises((BadInput, TooLarge)):
        catalogue_files.bring_in(desk, data)
    assert not entries(desk)
