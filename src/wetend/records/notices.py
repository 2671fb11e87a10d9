"""Sentences that report a depot's damage to users."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.records.damage import Damaged
from wetend.records.recovery import Rescued
from wetend.units.message import Message, joined, plural

INDEX_SENTENCE = Message(
    "An index of the depot's file is damaged. Every entry is still found, only "
    "more slowly; `wetend doctor --mend` rebuilds the index."
)
LOG_SENTENCE = Message(
    "The depot's log was damaged when it was last stopped: what was entered just "
    "before may be missing. `wetend doctor` shows what to do."
)
CUT_OFF_SENTENCE = Message(
    "The program was stopped half-way through its last write. That write had not "
    "been confirmed to anybody and is not there; all that had been is."
)
_NAMED = 3


def damage_sentence(damaged: Sequence[Damaged]) -> str:
    """Names damaged entries; blank where there are none.

    >>> damage_sentence([Damaged("0197" * 8, "seat", "quay-air")])
    '1 entry is damaged and left out: seat of quay-air (970197). `wetend doctor` shows what to do.'
    """
    if not damaged:
        return ""
    named = joined("; ", (each.named for each in damaged[:_NAMED]))
    more = len(damaged) - _NAMED
    if more > 0:
        return Message(
            "{count} entries are damaged and left out: {named}; and {more} more. "
            "`wetend doctor` shows what to do.",
            count=len(damaged),
            named=named,
            more=more,
        )
    return plural(
        "{n} entry is damaged and left out: {named}. `wetend doctor` shows what to do.",
        "{n} entries are damaged and left out: {named}. `wetend doctor` shows what to do.",
        len(damaged),
        named=named,
    )


def missing_sentence(missing: int) -> str:
    """Says that entries are gone; blank where none is."""
    if not missing:
        return ""
    return plural(
        "{n} entry is missing that was saved here. `wetend doctor` shows what to do.",
        "{n} entries are missing that were saved here. `wetend doctor` shows what to do.",
        missing,
    )


def lost_sentence(rescued: Rescued | None, damaged: Sequence[Damaged]) -> str:
    """How many entries could be read around damage; blank where none was met."""
    if rescued is None:
        return ""
    if rescued.missing == 0:
        return Message("All {rows} entries could be read.", rows=len(rescued.rows))
    if rescued.missing is None:
        return Message(
            "{rows} entries could be read; how many there were is not known.",
            rows=len(rescued.rows),
        )
    lost = max(rescued.missing, len(damaged))
    return Message(
        "{rows} entries could be read, {lost} could not.", rows=len(rescued.rows), lost=lost
    )
