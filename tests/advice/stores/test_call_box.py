"""The box: the best by trying every one, and hand sums."""

import itertools

import numpy as np
import pytest

from wetend.advice.faults.tables import FAULT, FAULTS
from wetend.advice.stores.call_box import (
    ITEMS,
    BoxItem,
    best_box,
    faults_before_checks,
    wants_of,
)
from wetend.errors import TooLarge


def test_wants_of_one_sure_fault_by_hand() -> None:
    wants = wants_of({FAULT["nozzle"]: 1.0})
    assert wants[frozenset({"nozzle"})] == pytest.approx(0.9)
    assert wants[frozenset()] == pytest.approx(0.1)


def test_someone_called_so_some_fault_is_there() -> None:
    # two faults, each as likely as not: (yes, no), (no, yes), (yes, yes) are a third each
    wants = wants_of({FAULT["nozzle"]: 0.5, FAULT["filter"]: 0.5})
    assert sum(wants.values()) == pytest.approx(1.0)
    assert wants[frozenset({"nozzle", "outlet-filter"})] == pytest.approx(0.9 * 0.7 / 3)
    assert wants[frozenset({"nozzle"})] == pytest.approx(0.9 / 3 + 0.9 * 0.3 / 3)


def test_ways_of_every_fault_add_up_and_can_be_carried() -> None:
    carried = frozenset().union(*(i.covers for i in ITEMS))
    for ways in (fault.wants for fault in FAULTS):
        assert sum(share for share, _ in ways) == pytest.approx(1.0)
        assert all(set(parts) <= carried for _, parts in ways)


def test_what_is_carried_takes_the_room_that_the_list_says() -> None:
    """In litres; common practice, no source."""
    rooms = {
        "foot-ball": 0.05, "foot-seat": 0.15, "soft-rings": 0.1, "cage": 0.3, "piston-ball": 0.05,
        "piston-seat": 0.15, "moving-packings": 0.3, "static-packings": 0.3, "repack-kit": 0.6,
        "cylinder": 3.0, "rod": 2.5, "nozzle": 0.1, "outlet-filter": 0.2, "strainer": 0.6,
        "drive-kit": 1.5, "hose-kit": 2.0,
    }  # fmt: skip
    assert {item.key: item.room * 1e3 for item in ITEMS} == pytest.approx(rooms)


def test_where_nothing_is_known_nothing_is_wanted() -> None:
    assert wants_of({}) == {frozenset(): 1.0}
    assert best_box({}, room=1e-3).chance == 1.0


@pytest.mark.parametrize("seed", range(5))
def test_no_box_tried_is_better(seed: int) -> None:
    rng = np.random.default_rng(seed)
    faults = {fault: float(rng.uniform()) for fault in FAULTS}
    items = [ITEMS[i] for i in rng.choice(len(ITEMS), 8, replace=False)]
    room = float(rng.uniform(0.3e-3, 4e-3))
    best = best_box(faults, room=room, items=items)
    wants = wants_of(faults)
    top = 0.0
    for count in range(len(items) + 1):
        for chosen in itertools.combinations(items, count):
            if sum(i.room for i in chosen) <= room:
                covered = frozenset().union(*(i.covers for i in chosen))
                top = max(top, sum(p for want, p in wants.items() if want <= covered))
    assert best.chance == pytest.approx(top)
    assert sum(i.room for i in best.items) <= room * 1.000001


def test_a_kit_stands_for_its_parts() -> None:
    kit = BoxItem("kit", "kit", frozenset({"static-packings", "moving-packings"}), 0.5e-3)
    single = BoxItem("one", "one", frozenset({"static-packings"}), 0.3e-3)
    other = BoxItem("two", "two", frozenset({"moving-packings"}), 0.3e-3)
    faults = {FAULT["static-packings"]: 0.9, FAULT["piston-valve"]: 0.9}
    assert best_box(faults, room=0.55e-3, items=(single, other, kit)).items == (kit,)


def test_more_room_is_never_worse_and_each_item_counts() -> None:
    faults = faults_before_checks([FAULT["foot-valve"]], {})
    chances = [best_box(faults, room=r * 1e-3).chance for r in (0.01, 0.3, 1, 2, 12)]
    assert chances == sorted(chances)
    best = best_box(faults, room=1e-3)
    assert best.empty_chance < best.chance < best.full_chance
    assert all(without < best.chance for _, without in best.without)
    assert {i.key for i in best.items} >= {"foot-ball", "soft-rings"}


def test_what_the_parts_lived_through_tips_the_box() -> None:
    faults = faults_before_checks([], {FAULT["static-packings"]: 3.0, FAULT["foot-valve"]: 1 / 3})
    assert "static-packings" in {i.key for i in best_box(faults, room=0.35e-3).items}


def test_too_many_to_weigh_is_refused() -> None:
    with pytest.raises(TooLarge):
        best_box({}, room=1.0, items=ITEMS + ITEMS)
