"""Flow cups: conversion of efflux time to viscosity."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from wetend.keeping import constant
from wetend.materials.table import Row, Table, Title, load
from wetend.units.message import Message
from wetend.units.noun import Line
from wetend.units.quantity import M2PerS, Percent, S

CupName = Literal[
    "iso-3mm", "iso-4mm", "iso-5mm", "iso-6mm",
    "ford-1", "ford-2", "ford-3", "ford-4", "ford-5",
    "zahn-1", "zahn-2", "zahn-3", "zahn-4", "zahn-5",
    "din-4mm",
]  # fmt: skip


class Cup(Row):
    """A flow cup: with t in seconds, viscosity = slope * (t - zero_time) - falling / t."""

    title: Title
    standard: Line
    slope: M2PerS = Field(gt=0, lt=1e-3, description=Message("Viscosity gained for each second"))
    zero_time: S = Field(
        ge=0, lt=100, description=Message("Seconds at which the straight part is zero")
    )
    falling: M2PerS = Field(
        ge=0, lt=1e-2, description=Message("Viscosity taken off at one second, over t")
    )
    shortest: S = Field(gt=0, lt=200, description=Message("Shortest time the formula holds for"))
    longest: S = Field(gt=0, lt=1000, description=Message("Longest time the formula holds for"))
    reproducibility: Percent | None = Field(
        default=None, description=Message("Between two laboratories, of the mean")
    )


@constant("table of cups")
def cups() -> Table[Cup]:
    """All flow cups, by key."""
    return load("cups", Cup)


def find_cup(key: str) -> Cup:
    """The cup with this key, such as ``iso-6mm`` or ``ford-4``.

    Raises:
        UnknownName: there is none; the sentence lists those there are.

    >>> find_cup("zahn-2").zero_time
    14.0
    """
    return cups().find(key)
