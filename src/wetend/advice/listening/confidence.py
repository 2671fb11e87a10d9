"""Confidence in the strokes found in a recording, and reasons for doubt."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wetend.advice.listening.answer import Quality, Side, Source, Stroke
from wetend.stats.signal.follow import HEARD
from wetend.stats.signal.hearing import Heard
from wetend.units.quantity import Ratio, S

_COVERED: tuple[Ratio, Ratio] = (0.5, 0.7)
"""Shares of the record under which strokes counted are not read, and not clear."""
_SCATTER: tuple[Ratio, Ratio] = (0.045, 0.065)
"""Scatter of a stroke over which they are not clear, and not read: false rhythms ramble more."""
_TAPPED: tuple[Ratio, Ratio] = (0.15, 0.3)
"""The same for taps, which a thumb scatters."""
_STANDING_OUT = (1.2 * HEARD, 2 * HEARD)
"""Standard deviations under which turns are not read, and not clear."""
COARSE: S = 0.0151
"""A log read evenly at longer steps (half its own) is never clear."""
_DOUBLE: Ratio = 0.04
"""Nearer than this to twice the other, one stroke may be two with the turn between unheard."""
_ENOUGH = 8
"""Strokes of either kind without which nothing is clear."""


@dataclass(frozen=True)
class Confidence:
    """A quality, and the reasons why it is not clear, a sentence each."""

    quality: Quality
    why: tuple[str, ...] = ()


def _doubled(sides: tuple[Side, Side]) -> bool:
    short, long = sorted(side.middle or 0.0 for side in sides)
    return abs(long - 2.0 * short) <= _DOUBLE * long


def trust(
    heard: Heard, strokes: Sequence[Stroke], sides: tuple[Side, Side], source: Source
) -> Confidence:
    """How far the strokes may be trusted, from what they cover, stand out by and scatter by."""
    if any(side.middle is None for side in sides):
        return Confidence("not read")
    strength = float(np.median([t.strength for t in heard.followed.turns]))
    there = max(heard.length * (1 - heard.lost), 1e-9)
    covered = sum(s.length for s in strokes if s.used) / there
    scatter = max((side.scatter or 0.0) / (side.middle or 1.0) for side in sides)
    limits = _TAPPED if source == "taps" else _SCATTER
    if strength < _STANDING_OUT[0] or covered < _COVERED[0] or scatter > limits[1]:
        return Confidence("not read")
    fewest = min(len(side.times) for side in sides)
    doubts = {
        f"Only {fewest} strokes of one kind count; {_ENOUGH} are needed.": fewest < _ENOUGH,
        "One stroke is about twice the other: it may be two with an unheard "
        "turn in between. Check a few by eye.": _doubled(sides),
        "The turns stand out only a little from the noise.": strength < _STANDING_OUT[1],
        f"The strokes that count cover {100 * covered:.0f} % of what was recorded.":
            covered < _COVERED[1],
        f"Strokes of one kind scatter by {100 * scatter:.1f} %: a pump seldom runs so unevenly, "
        "and a false rhythm does.": scatter > limits[0],
        f"Readings come every {2000 * heard.step:.0f} ms or so: too seldom to be sure of a stroke.":
            source == "log" and heard.step > COARSE,
    }  # fmt: skip
    why = tuple(reason for reason, so in doubts.items() if so)
    return Confidence("doubtful" if why else "clear", why)
