"""Typesets a document as PDF with Typst; user text is passed as data.

The faces are those that Typst carries within itself, so a sheet looks the same on a machine without
fonts; only text in other scripts than Latin, Greek and Cyrillic is looked up among the machine's
own. The same document gives the same bytes.
"""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime
from enum import Enum
from importlib import resources
from typing import Any, Protocol

import typst

from wetend.advice.reasons import Grade, Verdict
from wetend.drawings import verdict
from wetend.drawings.ink import COLOURS, standalone
from wetend.errors import WetendError
from wetend.reports.blocks import Document, Drawn, Picture
from wetend.telling.reader import Reader
from wetend.units.message import Message

_CARRIED = ((0x20, 0x52F), (0x1E00, 0x20CF), (0x2100, 0x22FF), (0x2500, 0x25FF), (0xFFFD, 0xFFFD))
"""Ranges of characters that the faces carried by Typst have."""


def _carried(text: str) -> bool:
    return all(c == "\n" or any(low <= ord(c) <= high for low, high in _CARRIED) for c in text)


class Placed(Protocol):
    """Any other document: a dataclass that knows when it was made."""

    @property
    def made(self) -> datetime:
        """UTC; the only moment that goes into the file."""
        ...


class _Sheet:
    """A document on its way to paper: its reader, and its drawings, each kept once and named."""

    def __init__(self, reader: Reader) -> None:
        self.reader = reader
        self.held: dict[str, str] = {}

    def name(self, svg: str) -> str:
        """The name a drawing goes by in the template."""
        return self.held.setdefault(svg, f"picture-{len(self.held)}")

    def inputs(self) -> dict[str, str]:
        """Name to drawing."""
        return {name: svg for svg, name in self.held.items()}


def _drawn(svg: str | Drawn, reader: Reader) -> str:
    return svg if isinstance(svg, str) else svg(reader)


def _plain(value: Any, sheet: _Sheet) -> Any:
    """A block as JSON data; drawings leave their name behind."""
    if isinstance(value, Picture):
        return {
            "kind": "Picture", "svg": sheet.name(_drawn(value.svg, sheet.reader)),
            "alt": sheet.reader.tell(value.alt),
            "wide": value.wide, "beside": [_plain(b, sheet) for b in value.beside],
        }  # fmt: skip
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, datetime):
        moment = value.astimezone(UTC)
        return [moment.year, moment.month, moment.day, moment.hour, moment.minute, moment.second]
    if is_dataclass(value) and not isinstance(value, type):
        held = {f.name: _plain(getattr(value, f.name), sheet) for f in fields(value)}
        return {"kind": type(value).__name__, **held}
    if isinstance(value, str):
        return sheet.reader.tell(value)
    if isinstance(value, tuple | list):
        return [_plain(each, sheet) for each in value]
    return value


_PAGE, _PAGES = "\ue000", "\ue001"
"""What the template puts the page's number, and how many there are, in the place of."""


def _words(reader: Reader) -> dict[str, str]:
    """What the template says by itself, by the code it says it for."""
    texts = {
        "page": Message("page"),
        "of": Message("{page} of {pages}", page=_PAGE, pages=_PAGES),
        **{v.value: Message(v.value) for v in Verdict},
        **{grade.value: Message(grade.value) for grade in Grade},
    }
    language = reader.language.partition("-")[0]
    return {"language": language, **{code: reader.tell(word) for code, word in texts.items()}}


def _inputs(document: Document | Placed, reader: Reader) -> dict[str, str]:
    sheet = _Sheet(reader)
    data = _plain(document, sheet)
    marks = {f"mark-{v.value}": standalone(verdict.mark(v, reader=reader)) for v in Verdict}
    return {
        "document": json.dumps(data, ensure_ascii=False),
        "colours": json.dumps(COLOURS),
        "words": json.dumps(_words(reader), ensure_ascii=False),
        **marks,
        **sheet.inputs(),
    }


def _compiled(
    inputs: dict[str, str], made: datetime, *, strict: bool, template: str
) -> bytes:  # fmt: skip
    page = resources.files("wetend.reports").joinpath(template).read_bytes()
    return typst.compile(
        page, format="pdf", sys_inputs=inputs, timestamp=int(made.timestamp()),
        ignore_system_fonts=_carried(inputs["document"]),
        pdf_standards=["a-2a", "ua-1"] if strict else [],
    )  # fmt: skip


def press(
    document: Document | Placed, reader: Reader, *, template: str = "sheet.typ"
) -> bytes:  # fmt: skip
    """The document in its reader's words as PDF: to keep (PDF/A-2a), to be read aloud (PDF/UA-1).

    Where a text holds signs that no face on this machine has, those standards can't be kept; it is
    then set without them, and the foot of the page says so.

    Raises:
        WetendError: the document could not be set; says why.
    """
    inputs = _inputs(document, reader)
    try:
        return _compiled(inputs, document.made, strict=True, template=template)
    except typst.TypstError:  # signs without a face; anything else fails again below
        inputs["lost"] = reader.tell(
            Message("Some characters have no font on this machine; the record holds them.")
        )
    try:
        return _compiled(inputs, document.made, strict=False, template=template)
    except typst.TypstError as error:
        raise WetendError(
            Message("The sheet could not be printed to PDF: {error}.", error=error)
        ) from error
