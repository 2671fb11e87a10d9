"""Makes every text of a template a message, so that no page says what can't be translated.

A template stays plain HTML. When it is read, each run of text between block tags (a paragraph, a
cell, a label), with the values and the phrasing tags within it, becomes one ``trans`` of Jinja's
own i18n extension; so do the texts of attributes that people read. Nothing has to be marked, and a
new template can't be forgotten. What a tag or a condition cuts in two are two messages: write
sentences whole.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from jinja2.ext import InternationalizationExtension
from jinja2.lexer import Token, TokenStream

from wetend.units import quantity

_PHRASING = frozenset({"a", "abbr", "b", "br", "code", "em", "i", "kbd", "small", "span", "strong",
                       "sub", "sup", "var"})  # fmt: skip
"""Tags within a sentence (HTML Living Standard, phrasing content); any other ends it."""
_READ = "aria-label|aria-description|title|placeholder|alt|data-say-[a-z-]+"
"""Attributes that people read; a script says what stands in ``data-say-…``."""
_TAG = re.compile(
    r"<(?:!--.*?--|/?(?P<name>[A-Za-z][\w-]*)(?:[^<>\"']|\"[^\"]*\"|'[^']*')*)>", re.S
)
_VERBATIM = re.compile(
    r"<(script|style|svg|pre|title)\b.*?</\1\s*>|<!DOCTYPE[^>]*>|<meta [^>]*>", re.S
)
_ATTRIBUTE = re.compile(rf'(?<=\s)(?:{_READ})="(?P<text>[^"]*)"')
_VALUE, _BLOCK = "\ue000", "\uf000"
"""First of the characters that stand for values and for statements; as many follow as there are."""
_IS_VALUE = re.compile("[\ue000-\uefff]")
_IS_BLOCK = re.compile("[\uf000-\uf8fe]")
_SAID = re.compile(r"[A-Z][^\W\d_]|[^\W\d_]+ \S+ \S+")
"""A string within an expression that is text and no key: a capital first, or three words."""
_COMPARES = frozenset({"eq", "ne", "assign_eq", "lbracket", "dot"})
_LETTERS = re.compile(r"[^\W\d_]{2,}|\b[AIa]\b")


@dataclass(frozen=True)
class _Chunk:
    """A value or a statement of a template: its tokens, delimiters included."""

    tokens: tuple[Token, ...]

    @property
    def inside(self) -> tuple[Token, ...]:
        return self.tokens[1:-1]


def _chunks(stream: TokenStream) -> tuple[str, list[_Chunk], list[_Chunk]]:
    """The template as one text in which a character stands for each value and statement."""
    text, values, blocks, held = [], list[_Chunk](), list[_Chunk](), list[Token]()
    for token in stream:
        if held:
            held.append(token)
            if token.type in ("variable_end", "block_end"):
                kind, start = (values, _VALUE) if token.type == "variable_end" else (blocks, _BLOCK)
                text.append(chr(ord(start) + len(kind)))
                kind.append(_Chunk(tuple(_with_strings_marked(held))))
                held = []
        elif token.type in ("variable_begin", "block_begin"):
            held = [token]
        else:
            text.append(token.value)
    return "".join(text), values, blocks


def _is_code(text: str) -> bool:
    return "/" in text or hasattr(quantity, text)


def _with_strings_marked(tokens: Sequence[Token]) -> Iterator[Token]:
    """An expression with the texts in it given to gettext; keys and what is compared stand."""
    for n, token in enumerate(tokens):
        before, after = tokens[n - 1] if n else token, tokens[min(n + 1, len(tokens) - 1)]
        key = (
            {before.type, after.type} & _COMPARES
            or after.type == "colon"
            or (before.type == "lparen" and n > 1 and tokens[n - 2].value == "_")
            or (
                before.type == "name"
                and before.value in ("in", "import", "from", "extends", "include")
            )
        )
        if token.type != "string" or key or not _SAID.match(token.value) or _is_code(token.value):
            yield token
            continue
        yield Token(token.lineno, "name", "_")
        yield Token(token.lineno, "lparen", "(")
        yield token
        yield Token(token.lineno, "rparen", ")")


def _named(chunk: _Chunk, taken: set[str]) -> str:
    """What a value is called in its message: the last name of its expression, before any filter."""
    name = "value"
    for token in chunk.inside:
        if token.type == "pipe":
            break
        if token.type == "name" and token.value not in (
            "if",
            "else",
            "and",
            "or",
            "not",
            "in",
            "is",
        ):
            name = token.value.strip("_").lower() or "value"
    made, n = name, 2
    while made in taken:
        made, n = f"{name}_{n}", n + 1
    taken.add(made)
    return made


class TemplateMessages(InternationalizationExtension):
    """Jinja's i18n extension with every text of a template marked by itself."""

    def filter_stream(self, stream: TokenStream) -> Iterator[Token]:
        """The template's tokens, its texts wrapped in ``trans``."""
        text, values, blocks = _chunks(stream)
        yield from _Marker(values, blocks).tokens(text)


class _Marker:
    """Marks the texts of one template."""

    def __init__(self, values: Sequence[_Chunk], blocks: Sequence[_Chunk]) -> None:
        self._values, self._blocks = values, blocks
        self._line = 1

    def tokens(self, text: str) -> Iterator[Token]:
        """All tokens of the template."""
        done = 0
        for verbatim in _VERBATIM.finditer(text):
            yield from self._marked(text[done : verbatim.start()])
            yield from self._verbatim(verbatim[0])
            done = verbatim.end()
        yield from self._marked(text[done:])

    def _verbatim(self, text: str) -> Iterator[Token]:
        title = re.fullmatch(r"(<title>)(.*)(</title>)", text, re.S)
        if title is None:
            yield from self._plain(text)
            return
        yield from self._plain(title[1])
        yield from self._run(title[2])
        yield from self._plain(title[3])

    def _marked(self, text: str) -> Iterator[Token]:
        """A stretch of markup: runs of text between what ends a sentence."""
        start = 0
        for tag in _TAG.finditer(text):
            name, held = (tag["name"] or "").lower(), tag[0]
            if name in _PHRASING and not _IS_BLOCK.search(held) and not _ATTRIBUTE.search(held):
                continue
            yield from self._runs(text[start : tag.start()])
            yield from self._tag(held)
            start = tag.end()
        yield from self._runs(text[start:])

    def _runs(self, text: str) -> Iterator[Token]:
        """Text between block tags, split where a statement stands."""
        done = 0
        for block in _IS_BLOCK.finditer(text):
            yield from self._run(text[done : block.start()])
            yield from self._plain(block[0])
            done = block.end()
        yield from self._run(text[done:])

    def _tag(self, tag: str) -> Iterator[Token]:
        """A tag, the texts of its attributes marked."""
        done = 0
        for attribute in _ATTRIBUTE.finditer(tag):
            yield from self._plain(tag[done : attribute.start("text")])
            yield from self._runs(attribute["text"])
            done = attribute.end("text")
        yield from self._plain(tag[done:])

    def _run(self, text: str) -> Iterator[Token]:
        """A sentence with the phrasing in it; where all text is within tags, one for each."""
        if not _read_as_text(text):
            yield from self._plain(text)
            return
        loose, elements = _elements(text)
        if not loose and _read_as_text(_without(text, elements)):
            body = text.strip()
            at = text.index(body)
            yield from self._plain(text[:at])
            yield from self._message(body)
            yield from self._plain(text[at + len(body) :])
            return
        done = 0
        for start, end in sorted(loose) if loose else [s for e in elements for s in e]:
            yield from self._run(text[done:start])
            yield from self._plain(text[start:end])
            done = end
        yield from self._run(text[done:])

    def _message(self, body: str) -> Iterator[Token]:
        line, taken = self._line, set[str]()
        pieces = re.split("([\ue000-\uefff])", re.sub(r"\s+", " ", body))
        names = {
            p: _named(self._values[ord(p) - ord(_VALUE)], taken) for p in pieces if _is_value(p)
        }
        yield Token(line, "block_begin", "{%")
        yield Token(line, "name", "trans")
        for n, (mark, name) in enumerate(names.items()):
            if n:
                yield Token(line, "comma", ",")
            yield Token(line, "name", name)
            yield Token(line, "assign", "=")
            yield Token(line, "lparen", "(")
            yield from self._values[ord(mark) - ord(_VALUE)].inside
            yield Token(line, "rparen", ")")
        yield Token(line, "block_end", "%}")
        for piece in pieces:
            if piece in names:
                yield Token(line, "variable_begin", "{{")
                yield Token(line, "name", names[piece])
                yield Token(line, "variable_end", "}}")
            elif piece:
                yield Token(line, "data", piece)
        yield Token(line, "block_begin", "{%")
        yield Token(line, "name", "endtrans")
        yield Token(line, "block_end", "%}")
        self._line += body.count("\n")

    def _plain(self, text: str) -> Iterator[Token]:
        """Text as it is, its values and statements put back."""
        for piece in re.split("([\ue000-\uf8fe])", text):
            if not piece:
                continue
            if _is_value(piece) or _IS_BLOCK.fullmatch(piece):
                held = self._values if _is_value(piece) else self._blocks
                tokens = held[ord(piece) - ord(_VALUE if _is_value(piece) else _BLOCK)].tokens
                yield from tokens
                self._line = tokens[-1].lineno
            else:
                yield Token(self._line, "data", piece)
                self._line += piece.count("\n")


def _is_value(piece: str) -> bool:
    return len(piece) == 1 and bool(_IS_VALUE.fullmatch(piece))


Span = tuple[int, int]


def _read_as_text(text: str) -> bool:
    """Whether letters stand in it beside tags, entities and values."""
    return bool(_LETTERS.search(_TAG.sub(" ", _IS_VALUE.sub(" ", re.sub(r"&\w+;", " ", text)))))


def _elements(text: str) -> tuple[list[Span], list[tuple[Span, Span]]]:
    """Tags of which the other is missing, and the outermost elements: start tag and end tag."""
    loose, stack, outer = list[Span](), list[re.Match[str]](), list[tuple[Span, Span]]()
    for tag in _TAG.finditer(text):
        if tag["name"] in (None, "br"):
            continue
        if not tag[0].startswith("</"):
            stack.append(tag)
        elif stack and stack[-1]["name"] == tag["name"]:
            begin = stack.pop()
            if not stack:
                outer.append((begin.span(), tag.span()))
        else:
            loose.append(tag.span())
    return loose + [tag.span() for tag in stack], outer


def _without(text: str, elements: Sequence[tuple[Span, Span]]) -> str:
    """What stands outside of all elements."""
    done, left = 0, ""
    for (start, _), (_, end) in elements:
        left += text[done:start] + " "
        done = end
    return left + text[done:]
