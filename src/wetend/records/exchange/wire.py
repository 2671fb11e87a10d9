"""What goes over the network between two depots, as JSON."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from wetend.records.checksums import Tally
from wetend.records.entries import Entry
from wetend.records.exchange.keys import PAGE, Keyed
from wetend.records.exchange.sides import AT_ONCE, SetName
from wetend.units.noun import Noun

PATH = "/exchange"
"""Where a server answers another depot."""
MOST_BYTES = 20_000_000
"""Longest message."""

Key = Annotated[str, Field(max_length=66, pattern=r"^[0-9a-z]*$")]
Mark = Annotated[str, Field(pattern=r"^[0-9a-f]{32}$")]


class AskTallies(Noun):
    """How many keys of spans there are, and their checksums mixed."""

    name: SetName
    spans: tuple[tuple[Key, Key], ...] = Field(max_length=20_000)


class Tallies(Noun):
    """The answer: a count and 32 hex digits a span."""

    tallies: tuple[tuple[int, Mark], ...]

    @classmethod
    def of(cls, found: list[Tally]) -> Tallies:
        """From tallies."""
        return cls(tallies=tuple((each.count, f"{each.mixed:032x}") for each in found))

    def read(self) -> list[Tally]:
        """As tallies."""
        return [Tally(count, int(mixed, 16)) for count, mixed in self.tallies]


class AskList(Noun):
    """The first keys of a span."""

    name: SetName
    span: tuple[Key, Key]


class Listed(Noun):
    """The answer: keys in order, each with its checksum."""

    keyed: tuple[Keyed, ...] = Field(max_length=PAGE)


class AskEntries(Noun):
    """Some entries by their ids."""

    ids: tuple[Key, ...] = Field(max_length=AT_ONCE)


class Some(Noun):
    """Entries, asked for or to be kept."""

    entries: tuple[Entry, ...] = Field(max_length=AT_ONCE)


class Kept(Noun):
    """What keeping them did."""

    new: int
    refused: tuple[str, ...]


class About(Noun):
    """What a depot says of itself."""

    purpose: str
    replaced: tuple[str, ...]
    """Photos that another was put in place of."""


class Fault(Noun):
    """Why something was not done, as a sentence."""

    fault: str
