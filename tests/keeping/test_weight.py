"""What a thing takes in memory, estimated: the order of size is what counts."""

from __future__ import annotations

import tracemalloc
from dataclasses import dataclass
from enum import Enum

import numpy as np
import pytest

from wetend.keeping import estimated_bytes


@dataclass
class _Holder:
    name: str
    values: dict[str, object]


def _measured(make) -> tuple[object, int]:  # type: ignore[no-untyped-def]
    """A thing, and the bytes that Python's own tracer saw it take."""
    tracemalloc.start()
    try:
        before = tracemalloc.get_traced_memory()[0]
        made = make()
        return made, tracemalloc.get_traced_memory()[0] - before
    finally:
        tracemalloc.stop()


@pytest.mark.parametrize(
    "make",
    [
        lambda: np.arange(100_000.0),
        lambda: [np.arange(1000.0 + n) for n in range(50)],
        lambda: [_Holder(f"holder {n}", {f"key {n}": float(n)}) for n in range(300)],
        lambda: {f"key {n}": "x" * 100 + str(n) for n in range(5000)},
        lambda: {(n, n + 1): np.zeros(40 + n % 2) for n in range(4000)},
        lambda: [[float(n + 0.5) for n in range(100)] for _ in range(400)],
    ],
    ids=[
        "array",
        "arrays",
        "objects",
        "long dictionary",
        "long dictionary of pairs",
        "nested lists",
    ],
)
def test_it_is_near_what_the_tracer_saw(make) -> None:  # type: ignore[no-untyped-def]
    made, taken = _measured(make)
    assert 0.6 * taken < estimated_bytes(made) < 1.7 * taken


def test_what_is_shared_counts_once() -> None:
    array = np.zeros(10_000)
    alone = estimated_bytes([array])
    assert estimated_bytes([array, array], array[10:], {"again": array}) < alone + 2000


def test_a_view_weighs_what_it_holds_back() -> None:
    view = np.zeros(100_000)[:10]
    assert estimated_bytes(view) > 800_000


class _Word(Enum):
    LONG = "x" * 10_000


def test_types_functions_and_members_of_enumerations_weigh_nothing() -> None:
    assert estimated_bytes(_Word.LONG, np.zeros, _Holder, estimated_bytes) == 0


def test_the_largest_things_are_weighed_in_bounded_time() -> None:
    """By counting what is visited: a million things are not all visited."""
    many = [[n, [n]] for n in range(1000, 500_000)]
    taken = 500_000 * (80 + 64 + 32 + 8)  # lists of two and of one, a number, the slot
    assert 0.4 * taken < estimated_bytes(many) < 1.6 * taken
