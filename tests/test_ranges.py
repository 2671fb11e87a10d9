"""Every number that a person can enter has a least and a greatest.

Tables of materials come with the program and are checked when they are read.
"""

from __future__ import annotations

import importlib
import math
import pkgutil
from collections.abc import Iterator

import pytest

import wetend
from wetend.units.fields import fields_of
from wetend.units.noun import Noun

_NOT_TYPED = ("wetend.materials", "wetend.records", "wetend.__main__")
"""Tables of the program's own, and the manifest of a backup, which the program writes."""


def _below(noun: type[Noun]) -> Iterator[type[Noun]]:
    for kind in noun.__subclasses__():
        yield kind
        yield from _below(kind)


def _nouns() -> list[type[Noun]]:
    for module in pkgutil.walk_packages(wetend.__path__, "wetend."):
        if not module.name.startswith(_NOT_TYPED):
            importlib.import_module(module.name)
    ours = {n for n in _below(Noun) if n.__module__.startswith("wetend.")}
    typed = {n for n in ours if not n.__module__.startswith(_NOT_TYPED)}
    return sorted(typed, key=lambda n: (n.__module__, n.__qualname__))


NOUNS = _nouns()


@pytest.mark.parametrize("noun", NOUNS, ids=lambda n: n.__qualname__)
def test_every_number_has_a_least_and_a_greatest(noun: type[Noun]) -> None:
    for field in fields_of(noun):
        if field.shape not in ("quantity", "number", "whole", "map") or field.noun is not None:
            continue
        place = f"{noun.__qualname__}.{field.name}"
        assert field.least is not None, place
        assert field.greatest is not None, place
        assert math.isfinite(field.greatest - field.least), place
        assert field.least < field.greatest, place
        assert field.least <= 0 or field.greatest / field.least >= 1.1, place


@pytest.mark.parametrize("noun", NOUNS, ids=lambda n: n.__qualname__)
def test_a_range_holds_its_ends(noun: type[Noun]) -> None:
    """“From 0 to 1” holds 0 and 1; what can't be zero says how small it may be."""
    for field in noun.model_fields.values():
        for said in field.metadata:
            assert getattr(said, "gt", None) is None, field
            assert getattr(said, "lt", None) is None, field


def test_there_is_something_to_check() -> None:
    names = {n.__name__ for n in NOUNS}
    assert {"BucketTest", "SeatMeasured", "Cylinder", "StackClock", "Costs"} <= names
