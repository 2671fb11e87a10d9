"""The head of a visit's documents: how the pump was signed off, and what came after."""

from __future__ import annotations

from wetend.advice.handover.sign_off import Signature, Signed
from wetend.advice.reasons import Verdict
from wetend.reports.blocks import Answer, Block, Points, Prose, Section
from wetend.reports.field_text import moment
from wetend.units.message import Message


def _why(signature: Signature) -> tuple[Block, ...]:
    blocks: list[Block] = []
    if signature.standing.needs_reason:
        reason = signature.reason or Message("No reason is recorded.")
        blocks.append(Prose(reason, Message("why it was signed off anyway"), "strong"))
        blocks.append(Prose(signature.about_crew))
    elif signature.reason:
        blocks.append(Prose(signature.reason, Message("remark at signing")))
    blocks += [Prose(remark, style="strong") for remark in signature.remarks]
    return tuple(blocks)


def top(signed: Signed | None) -> tuple[Block, ...]:
    """The verdict of the whole visit, before anything else."""
    if signed is None:
        return ()
    if not signed.signatures:
        now = signed.now
        return (
            Prose(Message("DRAFT: not signed off."), style="strong"),
            Answer(now.verdict, Message("Present state"), now.why, now.word),
        )
    latest = signed.signatures[0]
    shown = latest.standing
    by = Message(
        "Signed by {technician}, {at}.", technician=latest.technician, at=moment(latest.at)
    )
    return (
        Answer(
            shown.verdict,
            Message("Signed off"),
            Message("{why} {by}", why=shown.why, by=by),
            shown.word,
        ),
        *_why(latest),
        *_after(signed),
    )


def _after(signed: Signed) -> tuple[Block, ...]:
    if not signed.later:
        return ()
    return (
        Prose(
            Message(
                "Entered after the signature and not part of it: {later} (below).",
                later=len(signed.later),
            )
        ),
    )


def later_section(signed: Signed | None) -> Section | None:
    """Earlier signatures, and what was entered after the last."""
    if signed is None or not signed.signatures:
        return None
    blocks: list[Block] = []
    earlier = tuple(
        Message(
            "{at}, {technician}: {word}. {why}",
            at=moment(s.at),
            technician=s.technician,
            word=s.standing.word,
            why=s.standing.why,
        )
        for s in signed.signatures[1:]
    )
    if earlier:
        blocks.append(Points(earlier, Message("signed before")))
    if signed.later:
        lines = tuple(
            Message("{at}: {what}, by {who}", at=moment(e.at), what=e.what, who=e.who)
            if e.who
            else Message("{at}: {what}", at=moment(e.at), what=e.what)
            for e in signed.later
        )
        blocks.append(Points(lines, Message("entered after the signature")))
        if signed.now != signed.shown:
            why = Message("{why} Nobody has signed this.", why=signed.now.why)
            blocks.append(
                Answer(signed.now.verdict, Message("The record today"), why, signed.now.word)
            )
    return Section(Message("After the signature"), tuple(blocks)) if blocks else None


def certificate_title(verdict: Verdict) -> str:
    """What the paper of one proof is called: only a pass is a certificate."""
    return {
        Verdict.PASS: Message("Proof certificate"),
        Verdict.WATCH: Message("Proof certificate, with points to watch"),
        Verdict.FAIL: Message("Record of a failed proof"),
    }.get(verdict, Message("Record of proof, not proven"))
