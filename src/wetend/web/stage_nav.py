"""The navigation of stages at the top of every page of a visit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from wetend.units.message import Message

STAGE_WORDS: Mapping[str, str] = {
    "complaint": Message("Complaint"),
    "checks": Message("Checks"),
    "strip": Message("Strip"),
    "inspect": Message("Inspect"),
    "rebuild": Message("Rebuild"),
    "prove": Message("Prove"),
    "handover": Message("Hand over"),
}
"""Stages in order, with the word on the rail."""


@dataclass(frozen=True)
class RailItem:
    """One stage in the navigation: done or open, and whether its page is shown."""

    word: str
    path: str
    done: bool
    here: bool

    @property
    def standing(self) -> str:
        """How it stands, in a word or two."""
        if self.here:
            return Message("here")
        return Message("done") if self.done else Message("to do")


def rail_of(visit_id: str, done: Mapping[str, bool], stage: str) -> tuple[RailItem, ...]:
    """The rail of a visit with one stage shown."""
    return tuple(
        RailItem(word, f"/visits/{visit_id}/{name}", done.get(name, False), name == stage)
        for name, word in STAGE_WORDS.items()
    )
