"""Says the words of a drawing to its reader before they are laid out: words differ in length."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from wetend.units.kinds import System
from wetend.units.message import Message, Words, tell

Say = Callable[[str], str]
"""Puts a text into its reader's language and units."""


@dataclass(frozen=True)
class _AsWritten:
    """English in metric units."""

    system: System = "metric"

    def gettext(self, message: str) -> str:
        return message

    def ngettext(self, one: str, many: str, n: int) -> str:
        return one if n == 1 else many


AS_WRITTEN: Words = _AsWritten()
"""Who reads the words as they stand in the program."""


def saying(reader: Words) -> Say:
    """How texts are said to this reader; people's own text stands.

    >>> saying(AS_WRITTEN)(Message("shims"))
    'shims'
    """

    def say(text: str) -> str:
        return str(tell(text, reader))

    return say


def word(code: str) -> Message:
    """The word for a code that the record holds, such as a verdict's."""
    return code if isinstance(code, Message) else Message(str(code))
