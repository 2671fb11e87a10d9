"""The QR code on a report: visit id and the hash of its entries, for later verification."""

from __future__ import annotations

import io
import re

import segno

from wetend.units.message import Message

_HASH = re.compile(r"[0-9a-f]{64}")


def code_text(visit_id: str, entries_hash: str) -> str:
    """What the code says: ``wetend:visit:ID:sha256:HASH``."""
    return f"wetend:visit:{visit_id}:sha256:{entries_hash}"


def code(visit_id: str, entries_hash: str) -> str:
    """A QR code (ISO/IEC 18004) as SVG, error correction level M, with its quiet zone.

    Raises:
        ValueError: the hash is not 64 hexadecimal figures.
    """
    if not _HASH.fullmatch(entries_hash):
        raise ValueError(Message("a SHA-256 is 64 hexadecimal figures"))
    made = segno.make_qr(code_text(visit_id, entries_hash), error="m")
    held = io.BytesIO()
    made.save(held, kind="svg", border=4, xmldecl=False, nl=False, unit="", omitsize=True)
    return held.getvalue().decode("utf-8")
