"""Prints how a visit was signed off, verdict first."""

from __future__ import annotations

from wetend.advice.handover.sign_off import Signature, Signed
from wetend.cli.output import Sheet, word
from wetend.units.message import Message


def write_signed(sheet: Sheet, signed: Signed) -> None:
    """What was signed, by whom, why all the same, and what came after."""
    if not signed.signatures:
        sheet.heading(Message("Not signed off. As it stands: {word}", word=word(signed.now.word)))
        sheet.said(signed.now.why)
        if signed.now.needs_reason:
            sheet.line(
                Message(
                    "To sign it off in this state, give reason=, crew_told=yes and tagged=yes: "
                    "wetend sign-off"
                )
            )
        return
    latest = signed.signatures[0]
    sheet.heading(latest.standing.signed_off)
    sheet.said(latest.standing.why)
    _by(sheet, latest)
    for earlier in signed.signatures[1:]:
        sheet.line(Message("Signed before: {word}", word=word(earlier.standing.word)))
        _by(sheet, earlier)
    if signed.later:
        sheet.line(Message("Entered after the signature, and not part of it:"))
        for later in signed.later:
            by = Message(", by {who}", who=later.who) if later.who else ""
            sheet.line(
                Message(
                    "- {at:%Y-%m-%d %H:%M} UTC: {what}{by}", at=later.at, what=later.what, by=by
                )
            )
        if signed.now != signed.shown:
            sheet.said(
                Message(
                    "The record today: {word}. {why}",
                    word=word(signed.now.word),
                    why=signed.now.why,
                )
            )


def _by(sheet: Sheet, signature: Signature) -> None:
    taken = (
        Message(", received by {received_by}", received_by=signature.received_by)
        if signature.received_by
        else ""
    )
    sheet.line(
        Message(
            "  by {technician}{taken}, {at:%Y-%m-%d %H:%M} UTC",
            technician=signature.technician,
            taken=taken,
            at=signature.at,
        )
    )
    if signature.reason:
        sheet.line(Message("  Why it was signed off anyway: {reason}", reason=signature.reason))
    if signature.about_crew:
        sheet.line(Message("  {text}", text=signature.about_crew))
    for remark in signature.remarks:
        sheet.said(Message("  {remark}", remark=remark))
