"""The blocks a printed document is built from. All text is data, typeset literally."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from wetend.advice.reasons import Caution, Verdict
from wetend.advice.safety.injection import ON_PAPER
from wetend.units.message import Message, Words, joined

Drawn = Callable[[Words], str]
"""What draws a picture for the document's reader."""

DISCLAIMER = Message(
    "These sheets advise. The maker's manual, the safety data sheet, site "
    "permits, local codes and licensed practice come first."
)


@dataclass(frozen=True)
class Pairs:
    """Names with their values, side by side."""

    rows: tuple[tuple[str, str], ...]
    columns: int = 2


@dataclass(frozen=True)
class Cell:
    """One cell of a table; a verdict puts its shape before the text."""

    text: str
    verdict: Verdict | None = None
    strong: bool = False
    quiet: str = ""
    """A second line in smaller type."""


@dataclass(frozen=True)
class Table:
    """Rows under a head; ``widths`` are shares of the room, 0 for as wide as its text."""

    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[float, ...]
    right: tuple[int, ...] = ()
    """Columns of figures, set to the right."""


@dataclass(frozen=True)
class Prose:
    """A paragraph under an optional name."""

    text: str
    name: str = ""
    style: Literal["plain", "quiet", "strong"] = "plain"


@dataclass(frozen=True)
class Points:
    """A list; ``ticked`` gives each its box, empty or ticked."""

    items: tuple[str, ...]
    name: str = ""
    ticked: tuple[bool, ...] = ()
    columns: int = 1


@dataclass(frozen=True)
class Answer:
    """A verdict with its word, and what it means."""

    verdict: Verdict
    title: str
    text: str = ""
    word: str = ""
    """Said in place of the verdict's own word."""


@dataclass(frozen=True)
class Warnings:
    """Cautions, at the step that needs them."""

    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class Picture:
    """A drawing with what it says in words, and what stands beside it."""

    svg: str | Drawn
    """The drawing, or what draws it in the words of the document's reader."""
    alt: str
    wide: float
    """Width, mm."""
    beside: tuple[Block, ...] = ()


@dataclass(frozen=True)
class Fine:
    """Small print in two columns."""

    paragraphs: tuple[str, ...]


@dataclass(frozen=True)
class Step:
    """One step to tick off: what, with what, how, and what can hurt there."""

    number: int
    title: str
    tools: str
    how: str
    notes: tuple[str, ...]
    cautions: tuple[Caution, ...]
    done: bool
    time: str
    picture: Picture | None = None
    """The act drawn."""


@dataclass(frozen=True)
class Figures:
    """Large figures to read at arm's length: name, value, remark."""

    items: tuple[tuple[str, str, str], ...]
    big: bool = False
    """To read through a wet glove: two a row, the first over the whole width."""


@dataclass(frozen=True)
class Signatures:
    """Lines to sign on: who, and the printed name if known."""

    lines: tuple[tuple[str, str], ...]


Block = (
    Pairs | Table | Prose | Points | Answer | Warnings | Picture | Fine | Step | Figures
    | Signatures
)  # fmt: skip


@dataclass(frozen=True)
class Section:
    """A part of the sheet under its own heading."""

    title: str
    blocks: tuple[Block, ...]
    own_page: bool = False
    """Begins a page, so that it can be hung up by itself."""
    at_foot: bool = False
    """Stands at the foot of its page where there is room left above."""


@dataclass(frozen=True)
class Document:
    """A whole printed document."""

    title: str
    subject: str
    author: str
    made: datetime
    """When it was made, UTC; the only moment that goes into the file."""
    plate: tuple[tuple[str, str], ...]
    """Fields of the title block at the foot of every page."""
    head: tuple[Block, ...]
    corner: Picture | None
    sections: tuple[Section, ...]
    foot: str = joined("\n", (DISCLAIMER, ON_PAPER))
