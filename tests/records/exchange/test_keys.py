"""Where two sets of keys differ is found by few questions, the same as by plain sets."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass

from hypothesis import given
from hypothesis import strategies as st

from wetend.records.checksums import Tally, checksum
from wetend.records.exchange.keys import PAGE, WHOLE, Keyed, KeyTable, Span, difference

KEYS = st.dictionaries(
    st.integers(0, 4000).map(lambda n: f"{n:032x}"),
    st.integers(0, 2).map(lambda n: f"{n + 7:032x}"),
    max_size=300,
)


def table(keyed: dict[str, str]) -> KeyTable:
    return KeyTable(sorted(keyed.items()))


@given(mine=KEYS, theirs=KEYS)
def test_it_finds_what_plain_sets_find(mine: dict[str, str], theirs: dict[str, str]) -> None:
    found = difference(table(mine), table(theirs))
    assert found.lacking_here == sorted((k, m) for k, m in theirs.items() if k not in mine)
    assert found.lacking_there == sorted((k, m) for k, m in mine.items() if k not in theirs)
    assert found.differing == sorted(k for k in mine if theirs.get(k, mine[k]) != mine[k])


@given(keyed=KEYS, low=st.integers(0, 4000), wide=st.integers(0, 4000))
def test_a_span_counts_and_mixes_its_own(keyed: dict[str, str], low: int, wide: int) -> None:
    span = (f"{low:032x}", f"{low + wide:032x}")
    own = {k: m for k, m in keyed.items() if span[0] <= k < span[1]}
    assert table(keyed).tallies([span, WHOLE]) == [
        Tally().with_more(own.values()), Tally().with_more(keyed.values())
    ]  # fmt: skip
    assert dict(table(keyed).listed(span)) == own


@dataclass
class Counted:
    """The other side, with the bytes that its questions and answers would take as JSON."""

    table: KeyTable
    bytes: int = 0
    asked: int = 0

    def tallies(self, spans: Sequence[Span]) -> list[Tally]:
        self.asked += 1
        self.bytes += sum(len(low) + len(high) + 60 for low, high in spans)
        return self.table.tallies(spans)

    def listed(self, span: Span) -> list[Keyed]:
        self.asked += 1
        found = self.table.listed(span)
        self.bytes += 70 * (1 + len(found))
        return found


def test_a_hundred_new_among_many_are_found_in_kilobytes() -> None:
    """The plan: 100 new entries among a million, in kilobytes. Here among 60,000, at both ends."""
    drawn = random.Random(7)
    keys = sorted({f"{drawn.getrandbits(120):032x}" for _ in range(60_000)})
    new = {f"{drawn.getrandbits(120):032x}" for _ in range(100)}
    mine = {k: checksum([k]) for k in keys}
    there = Counted(table(mine | {k: checksum([k]) for k in new}))
    found = difference(table(mine), there)
    assert {k for k, _ in found.lacking_here} == new
    assert there.bytes < 800_000  # scattered at random: the worst; all the keys take 4,200,000
    latest = {f"{(1 << 121) + n:032x}" for n in range(100)}
    there = Counted(table(mine | {k: checksum([k]) for k in latest}))
    assert {k for k, _ in difference(table(mine), there).lacking_here} == latest
    assert there.bytes < 25_000
    assert there.asked < 10


def test_a_side_with_nothing_gets_all_page_by_page() -> None:
    keys = {f"{n:032x}": checksum([str(n)]) for n in range(2 * PAGE + 17)}
    found = difference(table({}), table(keys))
    assert dict(found.lacking_here) == keys
    assert difference(table(keys), table({})).lacking_there == found.lacking_here
