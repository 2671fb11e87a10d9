"""Text out of a file's bytes, whichever editor wrote them."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from wetend.errors import BadInput
from wetend.units.message import Message

_WIDE = (b"\xff\xfe", b"\xfe\xff")
"""How text in UTF-16 begins."""


def decoded(data: bytes, named: str = Message("The file")) -> str:
    """A file's text, from UTF-8 or UTF-16, with or without a byte order mark; lines end in ``\\n``.

    Raises:
        BadInput: it is no text, or text in another encoding; the sentence says what to do.

    >>> decoded(b"\\xef\\xbb\\xbfkey = 1\\r\\n"), decoded("key".encode("utf-16"))
    ('key = 1\\n', 'key')
    """
    try:
        text = data.decode("utf-16" if data[:2] in _WIDE else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(
            Message(
                "{named} is not text in UTF-8 (line {line}); save it as plain text in UTF-8 and "
                "try again.",
                named=named,
                line=data[: error.start].count(10) + 1,
            )
        ) from error
    if "\x00" in text:
        raise BadInput(Message("{named} is not text; it holds bytes that text can't.", named=named))
    return text.replace("\r\n", "\n").replace("\r", "\n")


def table_text(data: bytes, *, lenient: bool = False) -> tuple[str, str]:
    """Text of a table that another program wrote, and the name of its encoding.

    UTF-16 with its mark, UTF-8, else Windows-1252, in which old spreadsheets write.

    Args:
        data: the file.
        lenient: what can't be read spoils its own cell alone, as suits a log of figures.

    Raises:
        BadInput: it holds bytes that no table has or, unless lenient, letters that can't be read.

    >>> table_text("Öl;1".encode("cp1252"))
    ('Öl;1', 'Windows-1252')
    """
    tried = [("utf-8-sig", "UTF-8"), ("cp1252", "Windows-1252")]
    if data[:2] in _WIDE:
        tried = [("utf-16", "UTF-16")]
    elif b"\x00" in data and not lenient:
        raise BadInput(Message("The file holds bytes that no table has; save it as CSV in UTF-8."))
    for encoding, name in tried:
        try:
            return data.decode(encoding), name
        except UnicodeDecodeError:
            continue
    if lenient:
        encoding, name = tried[-1]
        return data.decode(encoding, "replace"), name
    raise BadInput(
        Message("The file's letters can't be read; save it as CSV in UTF-8 and try again.")
    )


_AT_LINE = re.compile(r"\(at line (\d+)")
_AGAIN = ("overwrite", "twice", "already")
_MANY_DOTS = re.compile(r"""(?:[\w"'-]{1,40}[ \t]?\.[ \t]?){40}""")
"""A key of so many names; of a hundred thousand Python's reader takes most of a minute."""
_DEEP = Message("It is nested too deeply.")
TOO_MANY_DIGITS = Message("A number in it has thousands of digits.")


def toml_table(text: str) -> dict[str, Any]:
    """What a TOML text holds.

    Raises:
        BadInput: it can't be read; the sentence quotes the line.

    >>> toml_table('\\ufeffbore = "38 mm"')
    {'bore': '38 mm'}
    """
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    if _MANY_DOTS.search(text):
        raise BadInput(_DEEP)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadInput(_not_toml(text, str(error))) from error
    except RecursionError as error:
        raise BadInput(_DEEP) from error
    except ValueError as error:  # more digits than Python turns into a number
        raise BadInput(TOO_MANY_DIGITS) from error


def quoted_line(text: str, number: int) -> str:
    """A line of a text, shortened, as a message quotes it."""
    lines = text.split("\n")
    line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    return f"“{line if len(line) <= 60 else line[:59] + '…'}”"


def _not_toml(text: str, said: str) -> str:
    found = _AT_LINE.search(said)
    if found is None:
        return Message(
            "This is not valid TOML: it ends too early; close the open quotation mark or bracket."
        )
    number = int(found[1])
    line = Message("line {number}, {text}", number=number, text=quoted_line(text, number))
    if any(word in said for word in _AGAIN):
        return Message("This is not valid TOML: {line}, repeats an earlier line.", line=line)
    return Message(
        "This is not valid TOML: {line}. Write name = value, and a text or a figure "
        'with a unit in quotation marks: bore = "38 mm".',
        line=line,
    )
