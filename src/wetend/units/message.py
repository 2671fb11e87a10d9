"""Sentences as data: a pattern and its values, put into words for one reader at the very end.

A :class:`Message` is what a part of the program answers instead of finished English. Its pattern
is its id (as in gettext), its values are numbers, quantities and other messages. It is a ``str``
too: its English in metric units, so that it can be printed, compared, kept and tested as it is.
:mod:`wetend.telling` says it again in a reader's own units and language. Text from people is no
message: it is passed as a value and never translated.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Protocol, Self

from wetend.units.kinds import System

__all__ = [
    "Joined",
    "Measure",
    "Message",
    "Plural",
    "Retold",
    "Text",
    "Words",
    "as_message",
    "joined",
    "plural",
    "raised",
]


class Words(Protocol):
    """One reader's language and units."""

    @property
    def system(self) -> System:
        """The units that they read."""
        ...

    def gettext(self, message: str) -> str:
        """A pattern in their language."""
        ...

    def ngettext(self, one: str, many: str, n: int) -> str:
        """The pattern for so many, in their language."""
        ...


class Text(str):
    """What can be said again for a reader; as a ``str``, its English in metric units."""

    __slots__ = ()

    def render(self, reader: Words) -> str:
        """Itself in the reader's language and units."""
        raise NotImplementedError

    def __str__(self) -> str:
        """Itself, so that ``str(error)`` can still be said to its reader."""
        return self

    def __add__(self, other: str) -> Text:
        """Both, one after the other, each still to be said."""
        return Joined("", (self, other))

    def __radd__(self, other: str) -> Text:
        """Both, one after the other, each still to be said."""
        return Joined("", (other, self))

    def capitalize(self) -> Text:
        """Itself with its first letter raised, once it is said."""
        return Retold(str.capitalize, self)

    def lower(self) -> Text:
        """Itself in small letters, once it is said."""
        return Retold(str.lower, self)

    def __deepcopy__(self, memo: object) -> Self:
        """Itself: nothing of it changes."""
        return self

    def __copy__(self) -> Self:
        """Itself: nothing of it changes."""
        return self


def tell(value: object, reader: Words) -> object:
    """A value for a reader: text is said again, also an error's; anything else stands."""
    if isinstance(value, Exception):
        value = str(value)
    return value.render(reader) if isinstance(value, Text) else value


def _filled(pattern: str, values: Mapping[str, object]) -> str:
    return pattern.format_map(values) if values else pattern


class Message(Text):
    """A sentence, phrase or label: its English pattern, which is its id, and its values.

    Values are named in the pattern as for ``str.format``; without values nothing is replaced.

    >>> Message("Shims: {count}.", count=3)
    'Shims: 3.'
    >>> Message("Shims: {count}.", count=3).pattern
    'Shims: {count}.'
    """

    __slots__ = ("pattern", "values")
    pattern: str
    values: Mapping[str, object]

    def __new__(cls, pattern: str, /, **values: object) -> Self:
        """A message of this pattern."""
        self = super().__new__(cls, _filled(pattern, values))
        self.pattern, self.values = pattern, values
        return self

    def __getnewargs_ex__(self) -> tuple[tuple[str], dict[str, object]]:
        """What it is made of, for a copy in another process."""
        return (self.pattern,), dict(self.values)

    def render(self, reader: Words) -> str:
        """Itself in the reader's language and units."""
        said = {name: tell(value, reader) for name, value in self.values.items()}
        return _filled(reader.gettext(self.pattern), said)


def as_message(text: str) -> Text:
    """A text of the program's own that is perhaps a message already."""
    return text if isinstance(text, Text) else Message(text)


class Plural(Text):
    """A sentence about a number of things: its pattern for one and for many."""

    __slots__ = ("many", "n", "one", "values")
    one: str
    many: str
    n: int
    values: Mapping[str, object]

    def __new__(cls, one: str, many: str, n: int, /, **values: object) -> Self:
        """A message for ``n``, which the patterns name ``{n}``."""
        self = super().__new__(cls, _filled(one if n == 1 else many, {"n": n, **values}))
        self.one, self.many, self.n, self.values = one, many, n, values
        return self

    def __getnewargs_ex__(self) -> tuple[tuple[str, str, int], dict[str, object]]:
        """What it is made of, for a copy in another process."""
        return (self.one, self.many, self.n), dict(self.values)

    def render(self, reader: Words) -> str:
        """Itself in the reader's language and units."""
        said = {name: tell(value, reader) for name, value in self.values.items()}
        return _filled(reader.ngettext(self.one, self.many, self.n), {"n": self.n, **said})


def plural(one: str, many: str, n: int, /, **values: object) -> Plural:
    """A sentence about ``n`` things.

    >>> plural("{n} shim", "{n} shims", 2)
    '2 shims'
    """
    return Plural(one, many, n, **values)


class Joined(Text):
    """Several texts in a row with a separator between them."""

    __slots__ = ("between", "parts")
    between: str
    parts: tuple[str, ...]

    def __new__(cls, between: str, parts: Iterable[str], /) -> Self:
        """The parts with ``between`` between them."""
        listed = tuple(parts)
        self = super().__new__(cls, str.join(between, listed))
        self.between, self.parts = between, listed
        return self

    def __getnewargs__(self) -> tuple[str, tuple[str, ...]]:  # type: ignore[override]
        """What it is made of, for a copy in another process."""
        return self.between, self.parts

    def render(self, reader: Words) -> str:
        """Itself in the reader's language and units."""
        return str(tell(self.between, reader)).join(str(tell(p, reader)) for p in self.parts)


def joined(between: str, parts: Iterable[str]) -> Joined:
    """Texts in a row, as ``between.join(parts)``, each still to be said to its reader.

    >>> joined(", ", ("ball", "seat"))
    'ball, seat'
    """
    return Joined(between, parts)


class Measure(Text):
    """One or more quantities, with how they are written in either system of units."""

    __slots__ = ("arguments", "written")
    written: Callable[..., str]
    arguments: tuple[tuple[object, ...], Mapping[str, object]]

    def __new__(cls, written: Callable[..., str], /, *values: object, **how: object) -> Self:
        """Values as ``written(*values, system, **how)`` puts them."""
        self = super().__new__(cls, written(*values, "metric", **how))
        self.written, self.arguments = written, (values, how)
        return self

    def __reduce__(self) -> tuple[Callable[..., Measure], tuple[object, ...]]:
        """What it is made of, for a copy in another process."""
        return _measure, (self.written, *self.arguments)

    def render(self, reader: Words) -> str:
        """Itself in the reader's units."""
        values, how = self.arguments
        return self.written(*values, reader.system, **how)


def _measure(
    written: Callable[..., str], values: tuple[object, ...], how: Mapping[str, object]
) -> Measure:
    return Measure(written, *values, **how)


class Retold(Text):
    """A text changed once it is said: its first letter raised, and the like."""

    __slots__ = ("change", "text")
    change: Callable[[str], str]
    text: str

    def __new__(cls, change: Callable[[str], str], text: str, /) -> Self:
        """The text as ``change`` leaves it."""
        self = super().__new__(cls, change(text))
        self.change, self.text = change, text
        return self

    def __getnewargs__(self) -> tuple[Callable[[str], str], str]:  # type: ignore[override]
        """What it is made of, for a copy in another process."""
        return self.change, self.text

    def render(self, reader: Words) -> str:
        """Itself in the reader's language and units, then changed."""
        return self.change(str(tell(self.text, reader)))


def _raise(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def raised(text: str) -> str:
    """A text with its first letter raised and the rest as it is, also once it is said.

    >>> raised("V-rings")
    'V-rings'
    """
    return Retold(_raise, text) if isinstance(text, Text) else _raise(text)
