"""A depot taken out as JSON and put into an empty one gives the same answers."""

from __future__ import annotations

import io
import json
from datetime import date
from pathlib import Path

import pytest

from wetend.errors import BadInput
from wetend.pump.usage import PartFitted, Usage
from wetend.records.corrections import standing
from wetend.records.store import Depot
from wetend.workflows import life, pumps, record
from wetend.workflows.demo.build import demo_fleet
from wetend.workflows.depot_json import is_depot_json, merge_depot, read_depot, write_depot
from wetend.workflows.desk import Desk

TODAY = date(2031, 7, 1)


def filled(depot: Depot) -> bytes:
    desk = Desk(depot, who='A. "Tester", said')
    for pump in demo_fleet():
        pumps.describe(desk, pump)
    use = Usage(first=date(2025, 1, 1), last=date(2025, 3, 1), pumped=1e-5, note=',"payload":{}')
    life.save_usage(desk, "north-quay", use)
    more = Usage(first=date(2025, 3, 2), last=date(2025, 9, 1), pumped=12.34567)
    life.save_usage(desk, "north-quay", more)
    life.save_fitted(desk, "north-quay", PartFitted(part="foot-ball", on=date(2025, 4, 1)))
    out = io.BytesIO()
    write_depot(desk, out)
    return out.getvalue()


def test_an_empty_depot_gives_the_same_answers(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "a.sqlite3") as one, Depot.open(tmp_path / "b.sqlite3") as other:
        data = filled(one)
        assert is_depot_json(data)
        entries = read_depot(data)
        assert merge_depot(Desk(other), entries).new == len(entries)
        assert merge_depot(Desk(other), entries).new == 0  # twice is once
        assert list(other.each_entry()) == list(one.each_entry())
        here, there = (life.view(Desk(d), "north-quay", today=TODAY) for d in (one, other))
        assert here.parts
        assert [(p.part, p.used, p.time) for p in here.parts] == [
            (p.part, p.used, p.time) for p in there.parts
        ]


def test_laid_out_anew_by_another_program_it_says_the_same(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "a.sqlite3") as one, Depot.open(tmp_path / "b.sqlite3") as other:
        data = json.dumps(json.loads(filled(one)), indent=3).encode()
        merge_depot(Desk(other), read_depot(data))
        assert [json.loads(e.payload) for e in other.each_entry()] == [
            json.loads(e.payload) for e in one.each_entry()
        ]


@pytest.mark.parametrize("cut", [b"{", b"[]", b'{"format":"wetend-depot"}', b'{"format":"x"}'])
def test_what_is_no_depot_says_so(cut: bytes) -> None:
    with pytest.raises(BadInput, match="Nothing was read"):
        read_depot(cut)


def test_a_torn_or_changed_file_saves_nothing(tmp_path: Path) -> None:
    with Depot.open(tmp_path / "a.sqlite3") as one, Depot.open(tmp_path / "b.sqlite3") as other:
        data = filled(one)
        with pytest.raises(BadInput):
            read_depot(data[: len(data) // 2])
        changed = data.replace(b"12.34567", b"99.5")
        merge_depot(Desk(other), read_depot(data))
        before = list(other.each_entry())
        with pytest.raises(BadInput, match="differs"):
            merge_depot(Desk(other), read_depot(changed))
        assert list(other.each_entry()) == before


def test_a_use_corrected_on_two_devices_is_the_newest_on_both_and_a_withdrawal_comes_late(
    tmp_path: Path,
) -> None:
    def use(litres: float) -> Usage:
        return Usage(first=date(2025, 1, 1), last=date(2025, 1, 31), pumped=litres / 1000.0)

    def stands(desk: Desk) -> list[float | None]:
        return [s.noun.pumped for s in standing(desk.depot.entries(pump="north-quay"))
                if isinstance(s.noun, Usage)]  # fmt: skip

    def swapped(one: Desk, other: Desk) -> None:
        for source, target in ((one, other), (other, one)):
            out = io.BytesIO()
            write_depot(source, out)
            merge_depot(target, read_depot(out.getvalue()))

    with Depot.open(tmp_path / "a.sqlite3") as a, Depot.open(tmp_path / "b.sqlite3") as b:
        one, other = Desk(a, who="Ann"), Desk(b, who="Ben")
        pumps.describe(one, demo_fleet()[0].model_copy(update={"key": "north-quay"}))
        wrong = life.save_usage(one, "north-quay", use(4200.0))
        swapped(one, other)
        life.save_usage(one, "north-quay", use(420.0), corrects=wrong.id)
        newest = life.save_usage(other, "north-quay", use(430.0), corrects=wrong.id)
        swapped(one, other)
        assert stands(one) == stands(other) == [0.43]
        shown = [x for x in record.of_pump(one, "north-quay").lines if x.entry.kind == "usage"]
        assert [x.corrected for x in shown] == [False, True, True]
        record.withdraw(other, newest.id, "of another pump")
        assert stands(one) == [0.43]  # not heard of yet
        swapped(one, other)
        assert stands(one) == stands(other) == [0.42]
