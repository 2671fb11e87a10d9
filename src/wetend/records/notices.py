"""Sentences that report a depot's damage to users."""

from __future__ import annotations

from collections.abc import Sequence

from wetend.records.damage import Damaged
from wetend.records.recovery import Rescued

INDEX_SENTENCE = (
    "An index of the depot's file is damaged. Every entry is still found, only more slowly; "
    "`wetend doctor --mend` rebuilds the index."
)
LOG_SENTENCE = (
    "The depot's log was damaged when it was last stopped: what was entered just before may be "
    "missing. `wetend doctor` shows what to do."
)
CUT_OFF_SENTENCE = (
    "The program was stopped half-way through its last write. That write had not been confirmed to "
    "anybody and is not there; all that had been is."
)
_NAMED = 3


def damage_sentence(damaged: Sequence[Damaged]) -> str:
    """Names damaged entries; blank where there are none.

    >>> damage_sentence([Damaged("0197" * 8, "seat", "quay-air")])
    '1 entry is damaged and left out: seat of quay-air (970197). `wetend doctor` shows what to do.'
    """
    if not damaged:
        return ""
    named = "; ".join(each.named for each in damaged[:_NAMED])
    more = f"; and {len(damaged) - _NAMED} more" if len(damaged) > _NAMED else ""
    what = "1 entry is" if len(damaged) == 1 else f"{len(damaged)} entries are"
    return f"{what} damaged and left out: {named}{more}. `wetend doctor` shows what to do."


def missing_sentence(missing: int) -> str:
    """Says that entries are gone; blank where none is."""
    if not missing:
        return ""
    what = "1 entry is" if missing == 1 else f"{missing} entries are"
    return f"{what} missing that were saved here. `wetend doctor` shows what to do."


def lost_sentence(rescued: Rescued | None, damaged: Sequence[Damaged]) -> str:
    """How many entries could be read around damage; blank where none was met."""
    if rescued is None:
        return ""
    if rescued.missing == 0:
        return f"All {len(rescued.rows)} entries could be read."
    if rescued.missing is None:
        return f"{len(rescued.rows)} entries could be read; how many there were is not known."
    lost = max(rescued.missing, len(damaged))
    return f"{len(rescued.rows)} entries could be read, {lost} could not."
