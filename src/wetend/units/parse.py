"""Read what people type: ``200 bar``, ``0.021 in``, ``21 thou``, ``3/8 in``, ``64 s``.

A number is a decimal (point or comma), a fraction or a whole number with a fraction. Text is
matched against a closed grammar and a closed list of units; nothing typed is ever evaluated.
"""

from __future__ import annotations

import math
import re
from functools import cache

import pint

from wetend.errors import BadInput
from wetend.units.kinds import Kind

_LONGEST = 60
_NUMBER = re.compile(
    r"""^\s*(?P<sign>[+-]?)\s*
    (?: (?:(?P<whole>\d{1,6})[ -])?(?P<top>\d{1,6})/(?P<bottom>\d{1,6})
      | (?P<decimal>(?:\d{1,25}(?:[.,]\d{0,45})?|[.,]\d{1,45})(?:[eE][+-]?\d{1,3})?) )
    \s*(?P<unit>.*?)\s*$""",
    re.VERBOSE,
)
_THOUSANDS = re.compile(r"^\d{1,3}(,\d{3})+$")
_SAME = {"²": "^2", "³": "^3", "·": "*", "⋅": "*", "µ": "u", "μ": "u", "°": "deg", "″": '"',
         "”": '"', "′": "'", "’": "'", "⁻¹": "^-1"}  # fmt: skip
_TIMES = re.compile(r"^\s*(\d{1,3})\s*[x×*]\s*(.+)$", re.IGNORECASE)


@cache
def _registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry(cache_folder=None)


@cache
def _line(source: str, target: str) -> tuple[float, float]:
    """Slope and offset that turn a number in ``source`` units into ``target`` units."""
    quantity = _registry().Quantity
    zero = float(quantity(0.0, source).to(target).magnitude)
    slope = float(quantity(1.0, source).to(target).magnitude) - zero
    return (slope, zero) if zero else (float(quantity(1.0, source).to(target).magnitude), 0.0)


def _tidy(text: str) -> str:
    for odd, plain in _SAME.items():
        text = text.replace(odd, plain)
    return re.sub(r"\s+", " ", text).strip()


def _quoted(text: str) -> str:
    short = text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"
    return f"“{short}”"


@cache
def _folded(kind: Kind) -> dict[str, str | None]:
    """Spellings in lower case; ``None`` where two different units fold to one spelling."""
    table: dict[str, str | None] = {}
    for spelling, target in kind.spellings.items():
        low = spelling.lower()
        table[low] = target if table.get(low, target) == target else None
    return table


def find_unit(spelling: str, kind: Kind) -> str:
    """Pint's name for a typed unit of this kind.

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
            f"{_quoted(spelling)} could be two units; mind capitals, as in {kind.example}."
        )
    if not folded:
        known = ", ".join(list(dict.fromkeys(kind.spellings))[:8])
        raise BadInput(
            f"{_quoted(spelling)} is not a unit of {kind.name} known here. "
            f"Write it like {kind.example} (units: {known})."
        )
    return folded


def _magnitude(match: re.Match[str], kind: Kind, text: str) -> float:
    if match["top"] is not None:
        if int(match["bottom"]) == 0:
            raise BadInput(f"{_quoted(text)} divides by nought. Write it like {kind.example}.")
        value = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
    else:
        decimal = match["decimal"]
        if _THOUSANDS.match(decimal):
            raise BadInput(
                f"{_quoted(text)} could be thousands or a decimal comma. Leave the comma out, "
                f"or write a decimal point."
            )
        value = float(decimal.replace(",", "."))
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
            f"{_quoted(text)} is too long for a {kind.name}. Write it like {kind.example}."
        )
    match = _NUMBER.match(_tidy(text))
    if match is None:
        raise BadInput(f"{_quoted(text)} is not a {kind.name}. Write it like {kind.example}.")
    number = _magnitude(match, kind, text)
    slope, offset = _line(find_unit(match["unit"] or bare, kind), kind.base)
    value = number * slope + offset
    if not math.isfinite(value):
        raise BadInput(f"{_quoted(text)} is too large to be a {kind.name}.")
    return value


def read_quantities(text: str, kind: Kind, *, bare: str) -> tuple[float, ...]:
    """Turn a typed list into SI numbers: ``"2x0.5, 0.25, 0.1 mm"``.

    Items stand between semicolons, commas or line ends; an item without a unit takes the unit of
    the next item that has one; ``2x`` repeats an item. A list with decimal commas is written with
    semicolons.

    Raises:
        BadInput: an item can't be read, or there are more than 2,000 of them.
    """
    items = [part for part in re.split(r"[;\n]" if ";" in text else r"[,\n]", text) if part.strip()]
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
            raise BadInput("More than 2,000 values; give at most 2,000.")
    return tuple(reversed(values))


def to_unit(value: float, kind: Kind, spelling: str) -> float:
    """An SI number turned into the unit spelt so."""
    slope, offset = _line(find_unit(spelling, kind), kind.base)
    return (value - offset) / slope
