"""Global options of every command: depot, user and units."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Units(StrEnum):
    """Units of the output."""

    METRIC = "metric"
    IMPERIAL = "imperial"


@dataclass(frozen=True)
class Session:
    """The options before the command's name."""

    where: str = ""
    who: str = ""
    place: str = ""
    units: Units = Units.METRIC
