"""Progress reporting and cancellation of long work."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

ItemT = TypeVar("ItemT")
Progress = Callable[[int, int], None]
"""Called with how much is done and of how much; of 0 where nobody knows. It may raise, which ends
the work; nothing is saved then."""


def quiet(done: int, of: int) -> None:
    """Progress that nobody watches."""


def reported(
    items: Iterable[ItemT], progress: Progress, *, of: int = 0, every: int = 1000
) -> Iterator[ItemT]:
    """The same items, progress reported before each so many of them.

    >>> seen = []
    >>> list(reported("abcde", lambda done, of: seen.append(done), every=2))
    ['a', 'b', 'c', 'd', 'e']
    >>> seen
    [0, 2, 4]
    """
    for done, item in enumerate(items):
        if done % every == 0:
            progress(done, of)
        yield item
