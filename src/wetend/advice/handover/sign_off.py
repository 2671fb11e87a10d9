"""Sign-off: the state by the proof, and what a signature must add.

A pump may be signed off failed or not proven. Then whoever signs writes why, has informed the crew
and has tagged the pump (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from wetend.advice.prove.answer import Proof
from wetend.advice.reasons import Verdict
from wetend.errors import Problem
from wetend.pump.readings import SignOff
from wetend.units.message import Message

WORDS: Final[dict[Verdict, str]] = {
    Verdict.PASS: Message("Passed"),
    Verdict.WATCH: Message("Passed, with points to watch"),
    Verdict.FAIL: Message("FAILED"),
    Verdict.NOT_PROVEN: Message("NOT PROVEN"),
    Verdict.NOT_APPLICABLE: Message("Wet end not opened"),
}
"""How each verdict of a proof is said of the whole pump."""
PROOF_READINGS: Final = Message("proof readings")
"""What a later entry of proof readings is called."""


@dataclass(frozen=True)
class Standing:
    """The state of the pump now."""

    verdict: Verdict
    """Of the proof; ``NOT_APPLICABLE`` where nothing was opened, so that none was due."""
    why: str

    @property
    def word(self) -> str:
        """The verdict as said of the whole pump."""
        return WORDS[self.verdict]

    @property
    def signed_off(self) -> str:
        """How it was signed off, as a heading."""
        return Message("Signed off: {word}", word=self.word)

    @property
    def needs_reason(self) -> bool:
        """Whether a signature under it must say why, that the crew knows, and that it is tagged."""
        return self.verdict in (Verdict.FAIL, Verdict.NOT_PROVEN)


@dataclass(frozen=True)
class Signature:
    """One sign-off, with what it stands under."""

    technician: str
    received_by: str
    at: datetime
    standing: Standing
    """The proof as it was shown to whoever signed; later entries never change it."""
    reason: str
    crew_told: bool
    tagged: bool
    remarks: tuple[str, ...] = ()
    """What is to be said beside it: entries that reached the record afterwards, another answer
    today."""

    @property
    def about_crew(self) -> str:
        """What was done about a pump that did not pass, in a sentence; blank for one that did."""
        if not self.standing.needs_reason:
            return ""
        crew = (
            Message("The crew was informed")
            if self.crew_told
            else Message("It is not recorded that the crew was informed")
        )
        tag = (
            Message("the pump is tagged") if self.tagged else Message("nor that the pump is tagged")
        )
        if self.crew_told and not self.tagged:
            tag = Message("it is not recorded that the pump is tagged")
        if not self.crew_told and self.tagged:
            tag = Message("the pump is tagged")
        return Message("{crew}; {tag}.", crew=crew, tag=tag)


@dataclass(frozen=True)
class Later:
    """An entry made after the signature."""

    what: str
    at: datetime
    who: str


@dataclass(frozen=True)
class Signed:
    """The signatures of a visit, and what came after."""

    now: Standing
    """As the record stands today."""
    signatures: tuple[Signature, ...]
    """The latest first."""
    later: tuple[Later, ...]
    """Entries after the latest signature; they change nothing in it."""

    @property
    def shown(self) -> Standing:
        """What counts: what was signed, or the record while nobody has signed."""
        return self.signatures[0].standing if self.signatures else self.now

    @property
    def proof_later(self) -> bool:
        """Whether what the proof is judged by was entered after the latest signature."""
        return any(later.what in (PROOF_READINGS, "coating") for later in self.later)


def standing(proof: Proof | None, *, read: bool, opened: bool, lacks: str = "") -> Standing:
    """How a pump stands.

    Args:
        proof: its proof as judged; ``None`` where there are no limits to judge by.
        read: whether proof readings were entered.
        opened: whether anything of the wet end is recorded as opened, measured or rebuilt.
        lacks: why there are no limits.
    """
    if not read and not opened:
        return Standing(
            Verdict.NOT_APPLICABLE, Message("Nothing is recorded as opened, so no proof was due.")
        )
    if proof is None:
        return Standing(
            Verdict.NOT_PROVEN, lacks or Message("No limits: the coating is not known.")
        )
    return Standing(proof.verdict, proof.why)


def lacking(signed: SignOff, now: Standing) -> tuple[Problem, ...]:
    """What a signature under this standing lacks, a sentence a field."""
    if not now.needs_reason:
        return ()
    state = Message("failed its proof") if now.verdict is Verdict.FAIL else Message("is not proven")
    found = []
    if not signed.reason:
        found.append(
            Problem(
                "reason",
                Message("The pump {state}: write why it is signed off anyway.", state=state),
            )
        )
    if not signed.crew_told:
        found.append(
            Problem(
                "crew_told",
                Message("The pump {state}: inform the crew, then tick it.", state=state),
            )
        )
    if not signed.tagged:
        found.append(
            Problem("tagged", Message("The pump {state}: tag it, then tick it.", state=state))
        )
    return tuple(found)
