"""The head of a visit's documents: how the pump was signed off, and what came after."""

from __future__ import annotations

from wetend.advice.handover.sign_off import Signature, Signed
from wetend.advice.reasons import Verdict
from wetend.reports.blocks import Answer, Block, Points, Prose, Section
from wetend.reports.field_text import moment
from wetend.units.kinds import System
from wetend.units.retell import retell


def _why(signature: Signature, system: System) -> tuple[Block, ...]:
    blocks: list[Block] = []
    if signature.standing.needs_reason:
        reason = signature.reason or "No reason is recorded."
        blocks.append(Prose(reason, "why it was signed off anyway", "strong"))
        blocks.append(Prose(signature.told))
    elif signature.reason:
        blocks.append(Prose(signature.reason, "remark at signing"))
    blocks += [Prose(retell(remark, system), style="strong") for remark in signature.remarks]
    return tuple(blocks)


def top(signed: Signed | None, system: System) -> tuple[Block, ...]:
    """The verdict of the whole visit, before anything else."""
    if signed is None:
        return ()
    if not signed.signatures:
        now = signed.now
        return (
            Prose("DRAFT: not signed off.", style="strong"),
            Answer(now.verdict, "Present state", retell(now.why, system), now.word),
        )
    latest = signed.signatures[0]
    shown = latest.standing
    by = f"Signed by {latest.technician}, {moment(latest.at)}."
    return (
        Answer(shown.verdict, "Signed off", f"{retell(shown.why, system)} {by}", shown.word),
        *_why(latest, system),
        *_after(signed),
    )


def _after(signed: Signed) -> tuple[Block, ...]:
    if not signed.later:
        return ()
    return (Prose(f"Entered after the signature and not part of it: {len(signed.later)} (below)."),)


def later_section(signed: Signed | None, system: System) -> Section | None:
    """Earlier signatures, and what was entered after the last."""
    if signed is None or not signed.signatures:
        return None
    blocks: list[Block] = []
    earlier = tuple(
        f"{moment(s.at)}, {s.technician}: {s.standing.word}. {retell(s.standing.why, system)}"
        for s in signed.signatures[1:]
    )
    if earlier:
        blocks.append(Points(earlier, "signed before"))
    if signed.later:
        lines = tuple(
            f"{moment(e.at)}: {e.what}" + (f", by {e.who}" if e.who else "") for e in signed.later
        )
        blocks.append(Points(lines, "entered after the signature"))
        if signed.now != signed.shown:
            why = f"{retell(signed.now.why, system)} Nobody has signed this."
            blocks.append(Answer(signed.now.verdict, "The record today", why, signed.now.word))
    return Section("After the signature", tuple(blocks)) if blocks else None


def certificate_title(verdict: Verdict) -> str:
    """What the paper of one proof is called: only a pass is a certificate."""
    return {
        Verdict.PASS: "Proof certificate",
        Verdict.WATCH: "Proof certificate, with points to watch",
        Verdict.FAIL: "Record of a failed proof",
    }.get(verdict, "Record of proof, not proven")
