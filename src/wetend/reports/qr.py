"""QR codes: of a visit and the hash of its entries on a report, of a pump's page on its label."""

from __future__ import annotations

import io
import re
from typing import Any

from wetend.lazy_import import LazyModule
from wetend.units.message import Message

segno: Any = LazyModule("segno")

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
    return _drawn(code_text(visit_id, entries_hash))


def address_code(address: str) -> str:
    """The QR code of a page's address, to stick on a pump: a phone's camera opens the page."""
    return _drawn(address)


def _drawn(text: str) -> str:
    held = io.BytesIO()
    segno.make_qr(text, error="m").save(
        held, kind="svg", border=4, xmldecl=False, nl=False, unit="", omitsize=True
    )
    return held.getvalue().decode("utf-8")
