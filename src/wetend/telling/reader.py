"""One reader: the language and the units that sentences are said in."""

from __future__ import annotations

from dataclasses import dataclass

from wetend.telling.languages import ENGLISH, catalogue
from wetend.units.kinds import System
from wetend.units.message import Text


@dataclass(frozen=True)
class Reader:
    """Whom a page, sheet or command is for."""

    system: System = "metric"
    language: str = ENGLISH

    def gettext(self, message: str) -> str:
        """A pattern in their language; as it is where that has none."""
        return catalogue(self.language).gettext(message) if message else ""

    def ngettext(self, one: str, many: str, n: int) -> str:
        """The pattern for so many, in their language."""
        return catalogue(self.language).ngettext(one, many, n)

    def tell(self, text: str) -> str:
        """A text for this reader: a message is said again, people's own text stands.

        >>> from wetend.units.message import Message
        >>> from wetend.units.quantity import Pa, unit_of
        >>> from wetend.units.show import gauge
        >>> Reader("imperial").tell(Message("Set {p}.", p=gauge(18e6, unit_of(Pa))))
        'Set 2,600 psi.'
        """
        return text.render(self) if isinstance(text, Text) else text


METRIC = Reader()
"""Who reads English and metric units."""
