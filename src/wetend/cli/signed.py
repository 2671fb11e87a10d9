"""Prints how a visit was signed off, verdict first."""

from __future__ import annotations

from wetend.advice.handover.sign_off import Signature, Signed
from wetend.cli.output import Sheet


def write_signed(sheet: Sheet, signed: Signed) -> None:
    """What was signed, by whom, why all the same, and what came after."""
    if not signed.signatures:
        sheet.heading(f"Not signed off. As it stands: {signed.now.word}")
        sheet.said(signed.now.why)
        if signed.now.needs_reason:
            sheet.line(
                "To sign it off in this state, give reason=, crew_told=yes and tagged=yes: "
                "wetend sign-off"
            )
        return
    latest = signed.signatures[0]
    sheet.heading(f"Signed off: {latest.standing.word}")
    sheet.said(latest.standing.why)
    _by(sheet, latest)
    for earlier in signed.signatures[1:]:
        sheet.line(f"Signed before: {earlier.standing.word}")
        _by(sheet, earlier)
    if signed.later:
        sheet.line("Entered after the signature, and not part of it:")
        for later in signed.later:
            by = f", by {later.who}" if later.who else ""
            sheet.line(f"- {later.at:%Y-%m-%d %H:%M} UTC: {later.what}{by}")
        if signed.now != signed.shown:
            sheet.said(f"The record today: {signed.now.word}. {signed.now.why}")


def _by(sheet: Sheet, signature: Signature) -> None:
    taken = f", received by {signature.received_by}" if signature.received_by else ""
    sheet.line(f"  by {signature.technician}{taken}, {signature.at:%Y-%m-%d %H:%M} UTC")
    if signature.reason:
        sheet.line(f"  Why it was signed off anyway: {signature.reason}")
    if signature.told:
        sheet.line(f"  {signature.told}")
    for remark in signature.remarks:
        sheet.said(f"  {remark}")
