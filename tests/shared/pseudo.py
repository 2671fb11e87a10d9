"""A language that only tests speak: every message in accented letters, so that what is none shows.

The letters of a pattern are changed, its placeholders, tags, entities and commands are not. A word
of plain letters on a page is then either people's own text, or a sentence that escaped.
"""

from __future__ import annotations

import gettext
import html
import json
import re
from collections.abc import Iterable, Iterator
from html.parser import HTMLParser

from wetend.records.store import Depot
from wetend.units.noun import Noun

PSEUDO = "en-XA"
"""The code of accented English in the Unicode CLDR's table of pseudo-locales."""
_PLAIN = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"
_ACCENTED = "àƀçďéƒĝĥíĵķļɱñöþɋŕšťûṽŵẋýžÀƁÇĎÉƑĜĤÍĴĶĻṀÑÖÞɊŔŠŤÛṼŴẊÝŽ"
_CHANGED = str.maketrans(_PLAIN, _ACCENTED)
_KEPT = re.compile(r"(\{[^{}]*\}|%\(\w+\)s|<[^<>]*>|&\w+;|`[^`]*`)")
_WORD = re.compile(r"(?<![\w.])[A-Za-z][a-z]{2,}(?![\w])")
_NOT_READ = frozenset({"script", "style", "code", "kbd", "pre", "svg", "cite"})
_READ = frozenset({"aria-label", "title", "alt", "placeholder"})
NAMES = (
    "wetend", "Typst", "Python", "cycles/min", "ohm", "rho", "bar", "psi", "min", "rev", "CSV",
    "TOML", "PDF", "min⁻¹", "thou", "lbf", "ft", "gpm", "lb/gal",
)  # fmt: skip
"""Names, and units and symbols as they are typed too, which are the same in every language."""


def changed(message: str) -> str:
    """A pattern in the pseudo-language.

    >>> changed("Shims: {count}.")
    'Šĥíɱš: {count}.'
    """
    parts = _KEPT.split(message)
    return "".join(p if n % 2 else p.translate(_CHANGED) for n, p in enumerate(parts))


class Pseudo(gettext.NullTranslations):
    """The pseudo-language's catalogue, which notes what it was asked for."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: set[str] = set()

    def gettext(self, message: str) -> str:
        self.asked.add(message)
        return changed(message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        self.asked.add(msgid1)
        return changed(msgid1 if n == 1 else msgid2)


class _Texts(HTMLParser):
    """Texts and read attributes of a page."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[str] = []
        self._within: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _NOT_READ or ("translate", "no") in attrs:
            self._within.append(tag)
        if not self._within:
            self.found += [value for name, value in attrs if name in _READ and value]

    def handle_endtag(self, tag: str) -> None:
        if self._within and self._within[-1] == tag:
            self._within.pop()

    def handle_data(self, data: str) -> None:
        if not self._within and data.strip():
            self.found.append(" ".join(data.split()))


def texts(page: str) -> list[str]:
    """What people read on a page, drawings left out."""
    parser = _Texts()
    parser.feed(page)
    return parser.found


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield " ".join(value.split())
    elif isinstance(value, dict):
        for each in value.values():
            yield from _strings(each)
    elif isinstance(value, list):
        for each in value:
            yield from _strings(each)


def own_words(depot: Depot, *, codes: bool = False) -> list[str]:
    """All texts that people put into a depot, the longest first; with codes such as a step's."""
    found, people = set[str](), set[str]()
    for entry in depot.entries():
        found.update(_strings(json.loads(entry.payload)))
        people.update((entry.who, entry.place, entry.device, entry.pump))
    found = {f for f in found if codes or " " in f or "-" in f} | people
    return sorted((f for f in found if len(f) > 2), key=len, reverse=True)


def described(noun: Noun) -> list[str]:
    """All texts of a description that people wrote or that came with it."""
    return [text for text in _strings(noun.model_dump(mode="json")) if len(text) > 2]


def escaped(said: Iterable[str], data: Iterable[str]) -> list[str]:
    """Texts in which plain words stand that nobody put into the depot."""
    left = []
    known = sorted({*data, *NAMES}, key=len, reverse=True)
    for text in said:
        rest = html.unescape(text)
        for each in known:
            if each in rest:
                rest = rest.replace(each, " ")
        if _WORD.search(rest):
            left.append(text)
    return left
