"""One act of a visit: what to do, what to enter, what can hurt in it, and where it stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from wetend.advice.diagnosis.answers import Finding, Prediction
from wetend.advice.reasons import Caution
from wetend.errors import NotFound
from wetend.records.entries import EntryKind
from wetend.records.fold import Visit
from wetend.units.message import Message
from wetend.units.quantity import Minutes
from wetend.workflows.zero import Gate

ActStage = Literal[
    "complaint", "checks", "make-safe", "strip", "inspect", "rebuild", "prove", "handover"
]
STAGE_TITLES: Mapping[ActStage, str] = {
    "complaint": Message("Complaint"),
    "checks": Message("Running checks"),
    "make-safe": Message("Make it safe"),
    "strip": Message("Strip"),
    "inspect": Message("Inspect"),
    "rebuild": Message("Rebuild"),
    "prove": Message("Prove"),
    "handover": Message("Hand over"),
}
"""The stages of acts in the order of a visit. Making safe comes wherever zero is needed."""


@dataclass(frozen=True)
class Act:
    """One act, as it stands."""

    key: str
    stage: ActStage
    title: str
    """A verb first, a dozen words at most."""
    kind: EntryKind | None = None
    """What its reading is kept as; ``None`` for a step that is marked on its own page."""
    fields: tuple[str, ...] = ()
    """Fields that it asks for, by their names in that kind."""
    more: tuple[str, ...] = ()
    """Fields that may be entered with it."""
    how: str = ""
    minutes: Minutes = 1.0
    """What it takes, in minutes."""
    worth: float | None = None
    """Minutes it is expected to save; ``None`` where that is not computed."""
    cautions: tuple[Caution, ...] = ()
    """The gravest first."""
    done: bool = False
    cannot: str | None = None
    """Why it can't be done, as entered; ``None`` where nobody said so."""
    due: bool = True
    """Whether it comes up by itself; else it is only in the list of what is left."""
    zero: bool = False
    """Whether it may only be done while zero is proven."""
    under_pressure: bool = False
    """Whether it begins with zero proven and ends with the pump under pressure."""
    path: str = ""
    """The address of its own page within the visit, for a step of strip or rebuild."""
    why: str = ""
    """What still stands in the way of what was entered."""
    sound: Mapping[str, str] = field(default_factory=dict)
    """By field, what a sound pump reads or a new part measures."""
    fixed: Mapping[str, str] = field(default_factory=dict)
    """Fields that say which of several parts is meant."""

    @property
    def name(self) -> str:
        """Stage and key, as in its address."""
        return f"{self.stage}/{self.key}"

    @property
    def left(self) -> bool:
        """Whether it is still to be done."""
        return not self.done and self.cannot is None


@dataclass(frozen=True)
class ActsView:
    """A visit's acts in order, the next of them, and what is believed so far."""

    visit: Visit
    acts: tuple[Act, ...]
    next: Act | None
    """``None`` where nothing is due any more."""
    gate: Gate
    believed: tuple[Finding, ...] = ()
    """The two likeliest faults; empty until readings are there."""
    healthy: Prediction | None = None
    """What a sound pump reads; ``None`` until the coating is known."""
    look_first: str = ""
    """What to rule out before any stroke is timed; blank where the complaint names nothing."""

    def act(self, stage: str, key: str) -> Act:
        """One act.

        Raises:
            NotFound: this visit has no such act, or not any more.
        """
        found = next((a for a in self.acts if (a.stage, a.key) == (stage, key)), None)
        if found is None:
            raise NotFound(
                Message("This visit has no such act now; what is left stands in its list.")
            )
        return found

    @property
    def left(self) -> tuple[Act, ...]:
        """What is still to be done, also what does not come up by itself."""
        return tuple(a for a in self.acts if a.left)

    @property
    def over(self) -> tuple[Act, ...]:
        """What is done, or could not be done."""
        return tuple(a for a in self.acts if not a.left)

    def counted(self, stage: str) -> tuple[int, int]:
        """Acts of a stage that are over, and all that are due in it."""
        own = [a for a in self.acts if a.stage == stage and (a.due or not a.left)]
        return sum(1 for a in own if not a.left), len(own)

    def shut(self, act: Act) -> bool:
        """Whether an act waits for zero to be proven."""
        return act.zero and not self.gate.zero.stands
