"""Questions a lead asks: where parts wear out most, and which rebuilds came back.

Rates are failures per volume pumped with exact intervals, so that chance is not blamed: a group
stands out only where its rate differs from that of all others together by the exact interval of
their ratio, widened for the number of groups looked at (Bonferroni). Shares are compared by
Fisher's exact test, held to the same.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from wetend.advice.life.records import PLAIN, Life
from wetend.pump.usage import LifePart
from wetend.stats.rates import count_interval, ratio_interval, share_interval, share_tails
from wetend.units.quantity import M3, Ratio

Stands = Literal["more", "less", "no sign"]
PACKINGS: tuple[LifePart, ...] = ("static-packings", "moving-packings")
_SURE: Ratio = 0.95
_CLASSES = ("mild", *PLAIN[:3])


@dataclass(frozen=True)
class RateRow:
    """How often parts of one group failed."""

    name: str
    failures: int
    pumped: M3
    """By the parts while they were in: of two parts in one pump twice."""
    rate: float
    """Failures per m3."""
    low: float
    high: float
    """95 % interval of the rate."""
    stands: Stands
    """Whether it differs from all others together."""


@dataclass(frozen=True)
class BackRow:
    """How many of a person's rebuilds came back."""

    who: str
    rebuilds: int
    back: int
    share: Ratio
    low: Ratio
    high: Ratio
    stands: Stands


def coating_class(life: Life) -> str:
    """The class of coating that did most of a life's wear."""
    shares = life.row[: len(_CLASSES) - 1]
    every = (max(1.0 - sum(shares), 0.0), *shares)
    return _CLASSES[every.index(max(every))]


def rates_by(
    lives: Iterable[Life], group: Callable[[Life], str], parts: Collection[LifePart] = PACKINGS
) -> tuple[RateRow, ...]:
    """Failures per volume of some parts by group, the highest rate first.

    Args:
        lives: recorded lives, ended and going on.
        group: the group of a life; a blank one is left out.
        parts: parts that count.
    """
    counts: Counter[str] = Counter()
    volumes: defaultdict[str, float] = defaultdict(float)
    for life in lives:
        name = group(life)
        if life.part in parts and name:
            counts[name] += life.ending != "going"
            volumes[name] += life.pumped
    known = {name: volume for name, volume in volumes.items() if volume > 0}
    failures, pumped = sum(counts[n] for n in known), sum(known.values())
    wide = 1.0 - (1.0 - _SURE) / max(len(known), 1)
    rows = []
    for name, volume in known.items():
        n = counts[name]
        low, high = count_interval(n, _SURE)
        rest = pumped - volume
        ratio = (
            ratio_interval(n, volume, failures - n, rest, wide)
            if rest > 0 and failures
            else (0.0, float("inf"))
        )
        rows.append(RateRow(name, n, volume, n / volume, low / volume, high / volume,
                            _stands(ratio, 1.0)))  # fmt: skip
    return tuple(sorted(rows, key=lambda row: (-row.rate, row.name)))


def _stands(interval: tuple[float, float], against: float) -> Stands:
    low, high = interval
    return "more" if low > against else "less" if high < against else "no sign"


def back_by(done: Mapping[str, Sequence[bool]]) -> tuple[BackRow, ...]:
    """Rebuilds that came back by who signed them, the most first.

    Args:
        done: for each person whether each rebuild came back.
    """
    every = sum(map(len, done.values()))
    all_back = sum(sum(own) for own in done.values())
    limit = (1.0 - _SURE) / 2.0 / max(len(done), 1)
    rows = []
    for who, own in done.items():
        n, back = len(own), sum(own)
        if not n:
            continue
        low, high = share_interval(back, n, _SURE)
        others = every - n
        few, many = share_tails(back, n, all_back - back, others)
        stands: Stands = "more" if many < limit else "less" if few < limit else "no sign"
        rows.append(BackRow(who, n, back, back / n, low, high, stands))
    return tuple(sorted(rows, key=lambda row: (-row.share, row.who)))


def pareto(lives: Iterable[Life]) -> tuple[tuple[LifePart, int], ...]:
    """Failures by part, the most first."""
    counts = Counter(life.part for life in lives if life.ending != "going")
    return tuple(sorted(counts.items(), key=lambda each: (-each[1], each[0])))


def by_month(lives: Iterable[Life]) -> tuple[tuple[str, int], ...]:
    """Failures by month, from the first to the last that has one, months without any between."""
    counts = Counter((life.ended.year, life.ended.month) for life in lives
                     if life.ended is not None and life.ending != "going")  # fmt: skip
    if not counts:
        return ()
    (year, month), last = min(counts), max(counts)
    found = []
    while (year, month) <= last:
        found.append((f"{year}-{month:02d}", counts[year, month]))
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
    return tuple(found)
