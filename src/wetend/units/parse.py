"""Read what people type: ``200 bar``, ``0.021 in``, ``21 thou``, ``3/8 in``, ``64 s``.

A number is a decimal (point or comma), a fraction or a whole number with a fraction. Text is
matched against a closed grammar and a closed list of units; nothing typed is ever evaluated.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from wetend.errors import BadInput
from wetend.keeping import constant
from wetend.units.factors import FACTORS
from wetend.units.kinds import Kind
from wetend.units.message import Message, joined

_LONGEST = 60
_NUMBER = re.compile(
    r"""^\s*(?P<sign>[+-]?)\s*
    (?: (?:(?P<whole>\d{1,6})[ -])?(?P<top>\d{1,6})/(?P<bottom>\d{1,6})
      | (?P<decimal>(?:\d{1,3}(?:[ .,]\d{3}){2,8}(?:[.,]\d{1,45})?
                      |\d{1,3}[ .,]\d{3}(?:[.,]\d{1,45})?(?![\d/])
                      |\d{1,25}(?:[.,]\d{0,45})?|[.,]\d{1,45})(?:[eE][+-]?\d{1,3})?) )
    \s*(?P<unit>.*?)\s*$""",
    re.VERBOSE,
)
_UNCLEAR = re.compile(r"^[1-9]\d{0,2},\d{3}$")
"""One comma before just three figures: thousands to one reader, a decimal to the next."""
_GROUPED = re.compile(r"^\d{1,3}(?:(?P<by>[ .,])\d{3})(?:(?P=by)\d{3})*(?:(?P<point>[.,])\d*)?$")
_SAME = {"²": "^2", "³": "^3", "·": "*", "⋅": "*", "µ": "u", "μ": "u", "°": "deg", "″": '"',
         "”": '"', "′": "'", "’": "'", "⁻¹": "^-1"}  # fmt: skip
_TIMES = re.compile(r"^\s*(\d{1,3})\s*[x×*]\s*(.+)$", re.IGNORECASE)


def _tidy(text: str) -> str:
    for odd, plain in _SAME.items():
        text = text.replace(odd, plain)
    return re.sub(r"\s+", " ", text).strip()


def _quoted(text: str) -> str:
    short = text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"
    return f"“{short}”"


@constant("spellings of units")
def _folded(kind: Kind) -> dict[str, str | None]:
    """Spellings in lower case; ``None`` where two different units fold to one spelling."""
    table: dict[str, str | None] = {}
    for spelling, target in kind.spellings.items():
        low = spelling.lower()
        table[low] = target if table.get(low, target) == target else None
    return table


def find_unit(spelling: str, kind: Kind) -> str:
    """The expression a typed unit of this kind stands for.

    Raises:
        BadInput: no such unit, or upper and lower case matter and it is unclear which is meant.
    """
    plain = _tidy(spelling)
    exact = kind.spellings.get(plain)
    if exact is not None:
        return exact
    folded = _folded(kind).get(plain.lower(), "")
    if folded is None:
        raise BadInput(
            Message(
                "{spelling} could be two units; mind capitals, as in {example}.",
                spelling=_quoted(spelling),
                example=kind.example,
            )
        )
    if not folded:
        _refuse_no_unit(spelling, kind)
        known = joined(", ", list(dict.fromkeys(kind.spellings))[:8])
        raise BadInput(
            Message(
                "{spelling} is not a unit of {name} known here. Write it like {example} "
                "(units: {known}).",
                spelling=_quoted(spelling),
                name=kind.name,
                example=kind.example,
                known=known,
            )
        )
    return folded


def _refuse_no_unit(spelling: str, kind: Kind) -> None:
    """Refuse what stands where a unit goes, by the slip it most likely is.

    Raises:
        BadInput: a second figure, or a letter that looks like one.
    """
    plain = _tidy(spelling)
    if re.match(r"[OolI]+\d*(?:\s|$)", plain) or re.match(r"[OolI]+\d", plain):
        raise BadInput(
            Message(
                "there is a letter in the number, before {spelling}: write 0 and 1 as "
                "digits, like {example}.",
                spelling=_quoted(spelling),
                example=kind.example,
            )
        )
    if re.search(r"(?:^|[\s,;/])[+-]?\d", plain):
        raise BadInput(
            Message(
                "{spelling} follows the first figure: put a comma and a space between "
                "several of them, or give one, like {example}.",
                spelling=_quoted(spelling),
                example=kind.example,
            )
        )


def plain_number(text: str) -> str:
    """A number typed without a unit, with a decimal point and no thousands: ``"1 200,5"``.

    What is no number is given back as it was typed.

    Raises:
        BadInput: a comma could mean thousands or a decimal.

    >>> plain_number("1,5"), plain_number("12 000"), plain_number("1,234.5"), plain_number("two")
    ('1.5', '12000', '1234.5', 'two')
    """
    match = _NUMBER.match(_tidy(text))
    if len(text) > _LONGEST or match is None or match["unit"] or match["decimal"] is None:
        return text.strip()
    sign = "-" if match["sign"] == "-" else ""
    return sign + _pointed(match["decimal"], text, None)


def _pointed(decimal: str, text: str, kind: Kind | None) -> str:
    """A decimal as written anywhere, with a point and without marks between thousands."""
    number, mark, power = decimal.lower().partition("e")
    if _UNCLEAR.match(number):
        whole, _, rest = number.partition(",")
        raise BadInput(
            Message(
                "{text} could be thousands or a decimal comma: write {whole}{rest} or "
                "{whole}.{rest}.",
                text=_quoted(text),
                whole=whole,
                rest=rest,
            )
        )
    grouped = _GROUPED.match(number)
    many = sum(number.count(c) for c in " .,") > 1 or " " in number
    if many:
        if grouped is None or grouped["point"] == grouped["by"]:
            said = Message("{text} is not a number.", text=_quoted(text))
            like = Message("Write it like {example}.", example=kind.example) if kind else ""
            raise BadInput(joined(" ", filter(None, (said, like))))
        number = number.replace(grouped["by"], "")
    return number.replace(",", ".") + mark + power


def _magnitude(match: re.Match[str], kind: Kind, text: str) -> float:
    if match["top"] is not None:
        if int(match["bottom"]) == 0:
            raise BadInput(
                Message(
                    "{text} divides by zero. Write it like {example}.",
                    text=_quoted(text),
                    example=kind.example,
                )
            )
        value = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    else:
        value = float(_pointed(match["decimal"], text, kind))
    return -value if match["sign"] == "-" else value


def read_quantity(text: str, kind: Kind, *, bare: str) -> float:
    """Turn typed text into an SI number of the given kind.

    Args:
        text: what was typed, such as ``"3/8 in"``.
        kind: what it should be a quantity of.
        bare: the unit meant when only a number is typed.

    Raises:
        BadInput: with one sentence saying what is wrong and how to write it.

    >>> from wetend.units import kinds
    >>> read_quantity("3/8 in", kinds.LENGTH, bare="m")
    0.009525
    >>> round(read_quantity("21 thou", kinds.LENGTH, bare="m"), 9)
    0.0005334
    """
    if len(text) > _LONGEST:
        raise BadInput(
            Message(
                "{text} is too long for a {name}. Write it like {example}.",
                text=_quoted(text),
                name=kind.name,
                example=kind.example,
            )
        )
    match = _NUMBER.match(_tidy(text).rstrip("."))
    if match is None:
        raise BadInput(
            Message(
                "{text} is not a {name}. Write it like {example}.",
                text=_quoted(text),
                name=kind.name,
                example=kind.example,
            )
        )
    number = _magnitude(match, kind, text)
    over, under, offset = _slope(find_unit(match["unit"] or bare, kind))
    value = number * over / under + offset
    if not math.isfinite(value):
        raise BadInput(
            Message("{text} is too large to be a {name}.", text=_quoted(text), name=kind.name)
        )
    return value


_BARE_COMMA = re.compile(r"\d,\d")
_SPACED_COMMA = re.compile(r",\s")


def _items(text: str) -> list[str]:
    """The items of a typed list.

    Raises:
        BadInput: its commas could stand between items or in them.
    """
    if ";" in text:
        return re.split(r"[;\n]", text)
    text = text.strip().rstrip(",")
    if not _BARE_COMMA.search(text):
        return re.split(r"[,\n]", text)
    if _SPACED_COMMA.search(text):
        return re.split(r",\s+|\n", text)
    if "." in text:  # decimals have points, so commas stand between
        return re.split(r"[,\n]", text)
    raise BadInput(
        Message(
            "In {text} a comma could be decimal or stand between two figures: put a "
            "space after each comma that stands between, or write decimal points.",
            text=_quoted(text),
        )
    )


def read_quantities(text: str, kind: Kind, *, bare: str) -> tuple[float, ...]:
    """Turn a typed list into SI numbers: ``"2x0.5, 0.25, 0.1 mm"``.

    Items stand between semicolons, line ends or commas; an item without a unit takes the unit of
    the next item that has one; ``2x`` repeats an item. Where commas with a space after them or
    semicolons stand between the items, a comma right between figures is a decimal comma.

    Raises:
        BadInput: an item can't be read, commas may mean either, or there are more than 2,000.
    """
    items = [part for part in _items(text) if part.strip()]
    values: list[float] = []
    unit = bare
    for item in reversed(items):
        times = _TIMES.match(item)
        count, rest = (int(times[1]), times[2]) if times else (1, item)
        match = _NUMBER.match(_tidy(rest))
        if match is not None and match["unit"]:
            unit = match["unit"]
        values += [read_quantity(rest, kind, bare=unit)] * count
        if len(values) > 2000:
            raise BadInput(Message("More than 2,000 values; give at most 2,000."))
    return tuple(reversed(values))


@constant("slopes of units")
def _slope(unit: str) -> tuple[float, float, float]:
    """A unit's slope as one number over another, and its offset: "15 um" is 15e-6 to the last bit.

    >>> _slope("um"), _slope("inch")
    ((1.0, 1000000.0, 0.0), (127.0, 5000.0, 0.0))
    """
    slope, offset = FACTORS[unit]
    exact = Fraction(slope).limit_denominator(10**12)
    over, under = float(exact.numerator), float(exact.denominator)
    if over and abs(over / under - slope) <= 1e-14 * slope:
        return over, under, offset
    return slope, 1.0, offset


def to_unit(value: float, kind: Kind, spelling: str) -> float:
    """An SI number turned into the unit spelt so."""
    over, under, offset = _slope(find_unit(spelling, kind))
    return (value - offset) * under / over
