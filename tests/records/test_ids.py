"""Ids: the layout of RFC 9562 and an order that survives the clock."""

from __future__ import annotations

import itertools
import time
import uuid
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wetend.errors import BadInput
from wetend.records import ids
from wetend.records.ids import IdMaker, new_id


def _milliseconds(made: str) -> int:
    """RFC 9562, section 5.7: the first 48 bits."""
    return uuid.UUID(made).int >> 80


def test_layout_is_version_7_of_the_rfc_variant() -> None:
    """RFC 9562, sections 4.1, 4.2 and 5.7, read by the standard library's own UUID class."""
    for _ in range(1000):
        made = uuid.UUID(new_id())
        assert made.version == 7
        assert made.variant == uuid.RFC_4122


def test_time_stands_in_the_first_48_bits() -> None:
    """RFC 9562, section 5.7: milliseconds since the Unix epoch, most significant bits first."""
    before = time.time_ns() // 1_000_000
    stamp = uuid.UUID(IdMaker().make()).int >> 80
    assert before <= stamp <= time.time_ns() // 1_000_000 + 1


@given(clock=st.lists(st.integers(0, 2**47), min_size=2, max_size=60))
def test_ids_grow_whatever_the_clock_does(clock: list[int]) -> None:
    """RFC 9562, section 6.2: a clock that stands still or steps back must not break the order."""
    with pytest.MonkeyPatch.context() as patch:
        ticks = iter(clock)
        patch.setattr(ids.time, "time_ns", lambda: next(ticks) * 1_000_000)
        maker = IdMaker()
        made = [maker.make() for _ in clock]
    assert all(a < b for a, b in itertools.pairwise(made))
    assert all(uuid.UUID(m).version == 7 and uuid.UUID(m).variant == uuid.RFC_4122 for m in made)


def test_full_tail_borrows_the_next_millisecond() -> None:
    full = ids._pack(1000, 2**74 - 1)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(ids.time, "time_ns", lambda: 5_000_000)
        later = IdMaker().make(after=full)
    assert later > full
    assert _milliseconds(later) - _milliseconds(full) == 1


def test_later_than_an_id_from_a_fast_clock() -> None:
    """A correction sorts after what it corrects, though the other device's clock was ahead."""
    maker = IdMaker()
    ahead = ids._pack(time.time_ns() // 1_000_000 + 3_600_000, 12345)
    assert maker.make(after=ahead) > ahead
    assert maker.make() < ahead


def test_later_than_all_that_was_seen() -> None:
    maker = IdMaker()
    ahead = ids._pack(time.time_ns() // 1_000_000 + 3_600_000, 12345)
    maker.seen(ahead)
    maker.seen(ids._pack(1, 1))
    first, second = maker.make(), maker.make()
    assert ahead < first < second
    assert _milliseconds(first) - _milliseconds(ahead) <= 1


def test_nothing_is_later_than_the_end_of_time() -> None:
    with pytest.raises(BadInput, match="clock"):
        new_id(after=ids._pack(2**48 - 1, 2**74 - 1))


def test_threads_never_share_an_id() -> None:
    with ThreadPoolExecutor(8) as pool:
        made = list(itertools.chain(*pool.map(lambda _: [new_id() for _ in range(500)], range(8))))
    assert len(set(made)) == len(made)
