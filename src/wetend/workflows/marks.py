"""Steps marked done one after another, from one device or several, in any order they arrive."""

from __future__ import annotations

from collections.abc import Sequence
from threading import Lock

MARKING = Lock()
"""Held while marks are read, changed and kept, so that two at once both count."""


def changed(
    so_far: Sequence[str], done: Sequence[str], undone: Sequence[str]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is newly done and what is taken back, each once; a step in both is taken back.

    >>> changed(("a", "b"), ("c", "a"), ("b", "d"))
    (('c',), ('b',))
    """
    more = tuple(k for k in dict.fromkeys(done) if k not in so_far and k not in undone)
    return more, tuple(k for k in dict.fromkeys(undone) if k in so_far)
