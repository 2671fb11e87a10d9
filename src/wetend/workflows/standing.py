"""The state of a visit's pump, and what each signature covers."""

from __future__ import annotations

from dataclasses import replace

from wetend.advice.handover.sign_off import (
    PROOF_READINGS,
    Later,
    Signature,
    Signed,
    Standing,
    standing,
)
from wetend.advice.prove.proof import Proof
from wetend.advice.prove.proof import prove as judge_proof
from wetend.advice.reasons import Verdict
from wetend.errors import NoAnswer, UnknownName
from wetend.pump.measurements import ProofReadings
from wetend.pump.readings import SignOff, StripProgress
from wetend.records.entries import Entry, said_by
from wetend.records.fold import Visit, as_signed
from wetend.units.message import Message

_AGAIN = Message(
    "Steps of the strip were marked after these readings: if it was opened "
    "again, prove it again; if the marks came late, save the readings once more."
)
_KIND_WORDS = {
    "proof": PROOF_READINGS,
    "check-readings": Message("running checks"),
    "strip-progress": Message("steps of the strip"),
    "rebuild-progress": Message("steps of the rebuild"),
    "set-up": Message("settings"),
    "withdrawn": Message("an entry withdrawn"),
    "pump-ran": Message("the pump ran"),
    "make-safe": Message("make-safe list"),
}
"""What an entry is called where its kind is not plain."""


def proof_of(visit: Visit) -> tuple[Proof | None, str]:
    """The verdict on a visit's proof readings, or why there is none."""
    if visit.coating is None:
        return None, ""
    try:
        proof = judge_proof(visit.pump, visit.coating, visit.proof or ProofReadings())
    except (NoAnswer, UnknownName) as why:
        return None, str(why)
    if proof.verdict is not Verdict.FAIL and opened_since(visit):
        return replace(proof, verdict=Verdict.NOT_PROVEN, why=_AGAIN), ""
    return proof, ""


def opened_since(visit: Visit) -> bool:
    """Whether steps of a strip were marked done after the proof was read."""
    read = [e.id for e in visit.entries if e.kind == "proof"]
    if not read or visit.proof is None or visit.proof.older:
        return False
    marks = (said_by(e) for e in visit.entries if e.kind == "strip-progress" and e.id > read[-1])
    return any(isinstance(noun, StripProgress) and noun.done for noun in marks)


def opened(visit: Visit) -> bool:
    """Whether anything of the wet end is recorded as opened, measured or rebuilt."""
    marked = [marks for marks in (visit.progress, visit.rebuilt) if marks and marks.done]
    before = visit.progress is not None and visit.progress.anew
    return bool(marked or before or visit.measured or visit.stack)


def standing_of(visit: Visit) -> Standing:
    """The state of the pump by what the visit's record holds."""
    proof, lacks = proof_of(visit)
    return standing(proof, read=visit.proof is not None, opened=opened(visit), lacks=lacks)


def _signature(visit: Visit, entry: Entry, signed: SignOff) -> Signature:
    then = as_signed(visit, entry)
    read = standing_of(then)
    shown = Standing(Verdict(signed.proof), signed.proof_why) if signed.proof else read
    remarks = []
    unseen = len(then.entries) - 1 - signed.entries_seen if signed.entries_seen else 0
    if unseen > 0:
        remarks.append(
            Message(
                "Entries that reached this record only after the signature: {unseen}. The "
                "signer had not seen them.",
                unseen=unseen,
            )
        )
    if read.verdict is not shown.verdict:
        remarks.append(Message("Judged again today: {word}. {why}", word=read.word, why=read.why))
    return Signature(
        technician=signed.technician, received_by=signed.received_by, at=entry.at, standing=shown,
        reason=signed.reason, crew_told=signed.crew_told, tagged=signed.tagged,
        remarks=tuple(remarks),
    )  # fmt: skip


def _kind_words(entry: Entry) -> str:
    return _KIND_WORDS.get(entry.kind) or Message(entry.kind.replace("-", " "))


def signed_of(visit: Visit) -> Signed:
    """The signatures of a visit, what each stands for, and what came after the last."""
    made = tuple(_signature(visit, entry, noun) for entry, noun in reversed(visit.signatures))
    later = tuple(Later(_kind_words(e), e.at, e.who) for e in visit.later)
    return Signed(standing_of(visit), made, later)
