"""Parses ``field=value`` arguments and option values, without a depot."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from datetime import date

from wetend.errors import BadInput
from wetend.units.kinds import Kind
from wetend.units.message import Message, joined
from wetend.units.parse import read_quantity
from wetend.units.suggestions import near_or_all

_WITHOUT_BLANK = re.compile(r"\S+?[,;]([A-Za-z_][\w.-]+)=\S*")
"""A value with another field behind a comma, and no blank in all of it."""


def _no_pair(arguments: Sequence[str], place: int) -> str:
    """What is said of a word without its sign, by what stands beside it."""
    word = arguments[place][:60]
    before = arguments[place - 1][:60].partition("=") if place else ("", "", "")
    after = arguments[place + 1][:60] if place + 1 < len(arguments) else ""
    if before[1]:
        likely = f'{before[0]}="{before[2]} {word}"'
        return Message(
            "“{word}” is not field=value; put a value with a space in quotation marks: {likely}.",
            word=word,
            likely=likely,
        )
    if after and "=" not in after:
        return Message(
            "“{word}” is not field=value; join them with = and no space: {word}={after}.",
            word=word,
            after=after,
        )
    return Message(
        "“{word}” is not field=value; write it like {field}=..., without spaces.",
        word=word,
        field=word.rstrip("=") or Message("field"),
    )


def pairs(arguments: Sequence[str]) -> dict[str, str]:
    """``field=value`` arguments as a mapping.

    Raises:
        BadInput: an argument has no ``=``, a field is given twice, or none says anything.
    """
    typed: dict[str, str] = {}
    for place, argument in enumerate(arguments):
        name, sign, value = argument.partition("=")
        if not sign or not name.strip():
            raise BadInput(_no_pair(arguments, place))
        second = _WITHOUT_BLANK.fullmatch(value)
        if second:
            raise BadInput(
                Message(
                    "Between {name}= and {second}= is a comma; put a space there.",
                    name=name[:40],
                    second=second[1][:40],
                )
            )
        key = name.strip().replace("-", "_") if "." not in name else name.strip()
        if key in typed:
            raise BadInput(Message("The field “{key}” is given twice.", key=key))
        typed[key] = value
    if typed and not any(value.strip() for value in typed.values()):
        raise BadInput(
            Message(
                "“{arguments}” has no value after the =; nothing was saved.",
                arguments=arguments[0][:60],
            )
        )
    return typed


def quantity(
    option: str, typed: str, kind: Kind, *, bare: str, least: float = 0.0, most: float = math.inf
) -> float:
    """The value of an option as an SI number.

    Args:
        option: as it is typed, such as ``--room``.
        typed: what stands behind it.
        kind: what it is a quantity of.
        bare: the unit of a number alone.
        least: what it must be more than, SI.
        most: what it may be at most, SI.

    Raises:
        BadInput: it is none, or out of range; the option is named.
    """
    try:
        value = read_quantity(typed, kind, bare=bare)
    except BadInput as bad:
        raise BadInput(Message("{option}: {bad}", option=option, bad=bad)) from bad
    if not least < value <= most:
        raise BadInput(
            Message(
                "{option}: “{typed}” is out of range; write it like {example}.",
                option=option,
                typed=typed[:40],
                example=kind.example,
            )
        )
    return value


def day(option: str, typed: str) -> date | None:
    """The value of an option as a day; ``None`` where it is blank.

    Raises:
        BadInput: it is no day; the option is named.
    """
    try:
        return date.fromisoformat(typed.strip()) if typed.strip() else None
    except ValueError as error:
        raise BadInput(
            Message(
                "{option}: “{typed}” is not a date; write it like 2031-05-04.",
                option=option,
                typed=typed[:40],
            )
        ) from error


def one_of(option: str, typed: str, known: Sequence[str]) -> str:
    """The value of an option that is one of a few words; blank is not given.

    Raises:
        BadInput: it is none of them; the option is named, and what may be meant.
    """
    if typed and typed not in known:
        raise BadInput(
            Message(
                "{option}: there is no “{typed}”; {typed_2}",
                option=option,
                typed=typed[:40],
                typed_2=near_or_all(typed, known),
            )
        )
    return typed


def not_both(**given: object) -> None:
    """Refuse options that contradict each other.

    Raises:
        BadInput: more than one is given; ``_`` in a name stands for ``-``.
    """
    named = [f"--{name.replace('_', '-')}" for name, value in given.items() if value]
    if len(named) > 1:
        raise BadInput(
            Message(
                "{named} contradict each other; give one of them.",
                named=joined(Message(" and "), named),
            )
        )
