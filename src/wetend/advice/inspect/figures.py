"""Plausibility checks of measurements."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.advice.inspect.judgement import Seen
from wetend.advice.reasons import Verdict
from wetend.units.message import Message
from wetend.units.quantity import M, MFine, Ratio

LEAST_MARK: MFine = 1e-9
"""A nanometre: anything less is no mark at all."""
LIKELY: Ratio = 0.1
"""How far a part's size may be from the described one before the figure is doubted: common
practice, no source. Wear is a hundred times less."""


def marked(size: M | None) -> M | None:
    """A mark's size, ``None`` where there is none to speak of."""
    return size if size is not None and size >= LEAST_MARK else None


def believable(sizes: Sequence[M], described: M) -> bool:
    """Whether all sizes can be this part's: a slip of unit or comma is far off."""
    return all(abs(size - described) <= LIKELY * described for size in sizes)


def slip(what: str) -> Seen:
    """What is said of a size that can't be this part's."""
    return Seen(
        Verdict.MEASURE_AGAIN,
        Message(
            "{what} can't be right for this part: check the figure, its unit and its "
            "decimal point.",
            what=what,
        ),
    )
