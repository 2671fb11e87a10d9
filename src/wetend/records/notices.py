"""Sentences that report a depot's damage to users."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.records.damage import Damaged
from wetend.records.recovery import Rescued
from wetend.units.message import Message, joined

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
    more = (
        Message("; and {damaged} more", damaged=len(damaged) - _NAMED)
        if len(damaged) > _NAMED
        else ""
    )
    what = (
        Message("1 entry is")
        if len(damaged) == 1
        else Message("{damaged} entries are", damaged=len(damaged))
    )
    return Message(
        "{what} damaged and left out: {named}{more}. `wetend doctor` shows what to do.",
        what=what,
        named=named,
        more=more,
    )


def missing_sentence(missing: int) -> str:
    """Says that entries are gone; blank where none is."""
    if not missing:
        return ""
    what = (
        Message("1 entry is") if missing == 1 else Message("{missing} entries are", missing=missing)
    )
    return Message(
        "{what} missing that were saved here. `wetend doctor` shows what to do.", what=what
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
