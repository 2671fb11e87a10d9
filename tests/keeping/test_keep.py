"""The one memory of computed things: bounded, computed once for equal calls, emptied by owner."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from itertools import count

import pytest

from wetend import keeping
from wetend.errors import BadInput, WetendError
from wetend.keeping import MB, Keep, constant, kept

_NUMBER = count()


@pytest.fixture
def name() -> str:
    """A name no other memory has: a memory stays listed as long as the program runs."""
    return f"of a test, {next(_NUMBER)}"


def test_an_answer_is_computed_once_and_counted(name: str) -> None:
    calls = []

    @kept(name, most=MB)
    def doubled(number: int, *, plus: int = 0) -> int:
        calls.append(number)
        return 2 * number + plus

    assert [doubled(3), doubled(3), doubled(3, plus=1)] == [6, 6, 7]
    assert calls == [3, 3]
    told = doubled.figures()
    assert (told.entries, told.hits, told.misses, told.evictions) == (2, 1, 2, 0)
    assert told.bytes > 0
    assert doubled.holds(3)
    assert not doubled.holds(4)
    doubled.forget()
    assert doubled.figures().entries == doubled.figures().bytes == 0
    assert doubled(3) == 6
    assert calls == [3, 3, 3]


def test_no_more_bytes_are_held_than_said_and_the_least_used_go(name: str) -> None:
    keep = Keep[bytes](name, most=5000, weigh=lambda _, value: len(value))
    for number in range(5):
        keep.get(number, lambda: bytes(1000))
    keep.get(0, lambda: bytes(1000))  # used again: the next to go is 1
    keep.get("new", lambda: bytes(1500))
    told = keep.figures()
    assert told.bytes <= 5000
    assert told.evictions == 2
    assert [keep.has(key) for key in (0, 1, 2, 3, "new")] == [True, False, False, True, True]


def test_what_is_larger_than_all_that_may_be_held_is_given_but_not_held(name: str) -> None:
    keep = Keep[bytes](name, most=1000, weigh=lambda _, value: len(value))
    keep.get("small", lambda: bytes(10))
    assert len(keep.get("large", lambda: bytes(5000))) == 5000
    assert keep.has("small")
    assert not keep.has("large")
    assert keep.figures().refused == 1


def test_the_newest_is_held_whatever_its_size_where_asked(name: str) -> None:
    keep = Keep[bytes](name, most=1000, weigh=lambda _, value: len(value), newest=True)
    for key in ("first", "second"):
        keep.put(key, bytes(5000))
    assert not keep.has("first")
    assert keep.peek("second") == bytes(5000)
    assert keep.figures().bytes == 5000


def test_what_grows_as_it_is_used_is_weighed_again(name: str) -> None:
    keep = Keep[list[bytes]](name, most=100_000, grows=True)
    keep.put("other", [])
    growing = keep.get("growing", list)
    growing.extend(bytes(9_000) for _ in range(12))
    keep.get("growing", list)
    assert not keep.has("growing")  # it no longer fits at all
    assert keep.has("other")
    assert keep.figures().bytes < 100_000


def _at_once(many: int, call) -> list[object]:  # type: ignore[no-untyped-def]
    """What so many calls give that begin together; an error stands for itself."""
    gate = threading.Barrier(many)

    def one(_: int) -> object:
        gate.wait(60)
        try:
            return call()
        except Exception as error:  # noqa: BLE001 - it is what is looked at
            return error

    with ThreadPoolExecutor(many) as pool:
        return list(pool.map(one, range(many)))


def test_equal_calls_at_once_compute_once(name: str) -> None:
    keep, calls, others = Keep[int](name, most=MB), [], threading.Semaphore(0)

    def make() -> int:
        calls.append(1)
        while keep.figures().joined < 7:  # until all the others wait for this one
            others.acquire(timeout=0.01)
        return 42

    assert _at_once(8, lambda: keep.get("answer", make)) == [42] * 8
    assert len(calls) == 1
    told = keep.figures()
    assert (told.misses, told.joined, told.entries) == (1, 7, 1)


def test_a_refusal_is_told_to_all_who_wait_and_not_held(name: str) -> None:
    keep, calls = Keep[int](name, most=MB), []

    def make() -> int:
        calls.append(1)
        while keep.figures().joined < 3:
            threading.Event().wait(0.01)
        raise BadInput("No such thing.")

    given = _at_once(4, lambda: keep.get("refused", make))
    assert [str(error) for error in given] == ["No such thing."] * 4
    assert len(calls) == 1
    with pytest.raises(BadInput):
        keep.get("refused", make)
    assert len(calls) == 2


class _HungUp(WetendError):
    personal = True


def test_one_who_hangs_up_spoils_no_answer_for_those_who_wait(name: str) -> None:
    keep, calls = Keep[int](name, most=MB), []

    def make() -> int:
        calls.append(1)
        if len(calls) == 1:
            while keep.figures().joined < 3:
                threading.Event().wait(0.01)
            raise _HungUp("The page was closed.")
        return 7

    given = _at_once(4, lambda: keep.get("answer", make))
    assert sorted(map(str, given)) == ["7", "7", "7", "The page was closed."]
    assert len(calls) == 2


def test_what_was_cleared_while_it_was_computed_is_not_held(name: str) -> None:
    keep = Keep[int](name, most=MB)

    def make() -> int:
        keeping.forget_owner("depot a")
        return 1

    assert keep.get("a", make, owner="depot a") == 1
    assert not keep.has("a")
    assert keep.get("b", lambda: 2, owner="depot b") == 2
    assert keep.has("b")


def test_a_memory_is_emptied_by_its_name_its_owner_or_with_all(name: str) -> None:
    keep = Keep[int](name, most=MB)

    def fill() -> None:
        for owner in ("depot a", "depot b"):
            keep.get(owner, lambda: 1, owner=owner)

    fill()
    keeping.forget_owner("depot a")
    assert [keep.has("depot a"), keep.has("depot b")] == [False, True]
    keeping.forget(name)
    assert keep.figures().entries == 0
    fill()
    keeping.forget_all()
    assert keep.figures().entries == 0
    with pytest.raises(KeyError):
        keeping.forget("no memory of this name")


def test_two_memories_cannot_have_one_name(name: str) -> None:
    Keep[int](name, most=MB)
    with pytest.raises(ValueError, match=name):
        Keep[int](name, most=MB)


def test_what_no_longer_fits_is_computed_anew(name: str) -> None:
    keep = Keep[int](name, most=MB)
    keep.get("state", lambda: 1)
    assert keep.get("state", lambda: 2, fits=lambda value: value >= 2) == 2
    assert keep.get("state", lambda: 3, fits=lambda value: value >= 2) == 2
    assert keep.figures().entries == 1


def test_a_constant_is_read_once_even_by_many_at_once(name: str) -> None:
    calls = []

    @constant(name)
    def table(which: str) -> tuple[str, int]:
        calls.append(which)
        threading.Event().wait(0.05)
        return which, len(calls)

    assert set(_at_once(6, lambda: table("cups"))) == {("cups", 1)}
    assert table("threads") == ("threads", 2)
    told = next(f for f in keeping.figures() if f.name == name)
    assert (told.entries, told.most, told.misses) == (2, None, 2)
    keeping.forget(name)
    assert table("cups") == ("cups", 3)


def test_a_computation_that_asks_for_itself_is_not_stuck(name: str) -> None:
    @kept(name, most=MB)
    def factorial(number: int) -> int:
        return 1 if number == 0 else number * factorial(number - 1)

    assert factorial(5) == 120
    assert factorial.figures().entries == 6
