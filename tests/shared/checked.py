"""A figure computed in the test by another library or a textbook's formula, held against ours."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

STATUSES = {
    "library": "computed at each run by the library that the source names",
    "closed form": "computed at each run by the textbook's formula that the source names",
    "seen": "printed in the source, which was read",
}


@dataclass(frozen=True)
class Check:
    """One such figure; its words as the columns of the CSV files beside the tests."""

    id: str
    calls: str
    """A function of the package, dotted, or ``calc NAME``."""
    inputs: Mapping[str, Any]
    expected: Callable[[], Any]
    """The other answer: a number, an array, or named results."""
    tolerance: float
    why: str
    source: str
    status: str = "library"
    picks: Callable[[Any], Any] | None = field(default=None, repr=False)
    """What of our answer is compared; else all of it, or what ``expected`` names."""
    picked: str = ""
    """Its name, for the reader and to tell one check from another."""
    run: Callable[[], Any] | None = field(default=None, repr=False)
    """Our answer, where it takes more than the one call."""
