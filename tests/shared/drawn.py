"""Numbers drawn from the ranges that nouns declare, for property tests of any folder."""

from __future__ import annotations

import math

from hypothesis import strategies as st
from pydantic import BaseModel

from wetend.units.fields import Field, fields_of


def numbers(field: Field) -> st.SearchStrategy[float]:
    """Over a field's whole range, by size as well as evenly, and its ends."""
    least, greatest = field.least, field.greatest
    assert least is not None, field.name
    assert greatest is not None, field.name
    ways = [st.floats(least, greatest), st.sampled_from([least, greatest])]
    if least > 0:
        ways.append(st.floats(math.log(least), math.log(greatest)).map(
            lambda u: min(max(math.exp(u), least), greatest)))  # fmt: skip
    elif greatest > 0:
        ways.append(st.sampled_from([0.0, 1e-300, 1e-12 * greatest, 1e-3 * greatest]))
    return st.one_of(ways)


def of(noun: type[BaseModel], name: str) -> st.SearchStrategy[float]:
    """What a field of a noun, or each of its series, may be."""
    return numbers(next(f for f in fields_of(noun) if f.name == name))


def maybe(noun: type[BaseModel], name: str) -> st.SearchStrategy[float | None]:
    """The same, or not given."""
    return st.none() | of(noun, name)


def series(noun: type[BaseModel], name: str, most: int) -> st.SearchStrategy[tuple[float, ...]]:
    """So many at most of a field that is a series."""
    return st.lists(of(noun, name), max_size=most).map(tuple)
