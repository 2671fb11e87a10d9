"""Terminal output in any encoding: unsupported characters are replaced."""

from __future__ import annotations

import codecs
import sys
import unicodedata
from typing import Any

_NAME = "wetend.plain"
_PLAIN = {
    "“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "″": '"', "′": "'", "…": "...", "–": "-",
    "—": "-", "−": "-", "‑": "-", "·": "*", "×": "x", "÷": "/", "±": "+/-", "≤": "<=", "≥": ">=",
    "≈": "~", "→": "->", "←": "<-", "°": "deg", "µ": "u", "μ": "u", "Ω": "ohm", "²": "^2",
    "³": "^3", "●": "*", "○": "o", "◐": "/", "◒": "~", "✕": "x", "▲": "!", "«": '"', "»": '"',
    "ß": "ss", "æ": "ae", "Æ": "AE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L",
    "\u00a0": " ", "\u202f": " ",
    "\u2009": " ", "\u200b": "", "⁄": "/",
}  # fmt: skip


def plain(text: str) -> str:
    """A text in ASCII, as near as can be; what has no near sign is a question mark.

    >>> plain("“Käfer” 20 µm ● ½")
    '"Kafer" 20 um * 1/2'
    """
    found = []
    for sign in text:
        near = _PLAIN.get(sign)
        if near is None:
            taken_apart = unicodedata.normalize("NFKD", sign)
            near = "".join(_PLAIN.get(c, c) for c in taken_apart if not unicodedata.combining(c))
        found.append(near if near.isascii() else "?")
    return "".join(found)


def _in_plain(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plain(error.object[error.start : error.end]), error.end


def ready() -> None:
    """Have standard output and error take any text, whatever their encoding is."""
    codecs.register_error(_NAME, _in_plain)
    for stream in (sys.stdout, sys.stderr):
        reconfigure: Any = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=_NAME)
