"""Steps marked done one after another, from one device or several, in any order they arrive."""

from __future__ import annotations

from collections.abc import Sequence
from threading import Lock

MARKING = Lock()
"""Held while marks are read, changed and kept, so that two at once both count."""


def marked(so_far: Sequence[str], done: Sequence[str], undone: Sequence[str]) -> tuple[str, ...]:
    """Steps done after more were done and some taken back; each once, in the order first done.

    >>> marked(("a", "b"), ("c", "a"), ("b",))
    ('a', 'c')
    """
    return tuple(k for k in dict.fromkeys((*so_far, *done)) if k not in undone)
